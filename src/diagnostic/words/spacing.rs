//! Spacing rules and fixed orders: T603, T605, T607.

use crate::diagnostic::{Code, Diagnostic, Span};
use crate::units::{decimals, join_and};

/// A share as `33.33 %`.
fn points(share: f64) -> String {
    format!("{} %", decimals(share * 100.0, 2))
}

/// A spacing rule as the sentences need it.
#[derive(Clone, Copy, Debug)]
pub struct RuleSaid<'a> {
    pub span: Span,
    pub text: &'a str,
    pub model: &'a str,
    pub most: u32,
    pub window: u32,
}

impl RuleSaid<'_> {
    fn cap(self) -> f64 {
        f64::from(self.most) / f64::from(self.window)
    }
}

fn impossible(span: Span, headline: String, why: String, cure: &str) -> Diagnostic {
    Diagnostic::new(Code::ImpossibleSpacing, span, headline)
        .marked("no endless sequence can keep this")
        .help(why)
        .help(cure)
}

/// One model has a larger share than its rule lets through.
pub fn share_over_cap(rule: RuleSaid, share: f64) -> Diagnostic {
    let (model, cap) = (rule.model, points(rule.cap()));
    let headline = format!("{model} has a share of {}, `{}` allows {cap}", points(share), rule.text);
    let why = format!(
        "{} of every {} units is {cap}: with {} of all orders being {model}, the order bank grows without end",
        rule.most,
        rule.window,
        points(share)
    );
    let cure = format!("lower the share of {model} to {cap} or loosen the rule");
    impossible(rule.span, headline, why, &cure)
}

/// Two models with their shares, and the weights of the proof that they can't have both.
#[derive(Clone, Copy, Debug)]
pub struct PairSaid<'a> {
    pub models: [(&'a str, f64); 2],
    pub weights: (f64, f64),
    pub asked: f64,
    pub most: f64,
}

pub fn shares_exclude(span: Span, pair: PairSaid, rules: &[String]) -> Diagnostic {
    let [(a, share_a), (b, share_b)] = pair.models;
    let rules: Vec<String> = rules.iter().map(|rule| format!("`{rule}`")).collect();
    let headline = format!(
        "{a} with {} and {b} with {} can't both keep {}",
        points(share_a),
        points(share_b),
        join_and(&rules)
    );
    let why = format!(
        "in every sequence that keeps them, {} x share of {a} + {} x share of {b} is at most {}; here it is {}",
        decimals(pair.weights.0, 3),
        decimals(pair.weights.1, 3),
        points(pair.most),
        points(pair.asked)
    );
    impossible(span, headline, why, "lower one of the shares or loosen a rule")
}

/// A batch holds more of one model than its rule allows in a row.
pub fn batch_breaks(rule: RuleSaid, batch: u32) -> Diagnostic {
    let model = rule.model;
    let headline = format!("a batch of {batch} {model} breaks `{}`", rule.text);
    let why = format!(
        "{} of any {} would be {model}, at most {} may be",
        batch.min(rule.window),
        rule.window,
        rule.most
    );
    impossible(rule.span, headline, why, "make the batches smaller or drop the rule")
}

/// A pattern or list breaks a rule; `from` counts from 1.
pub fn order_breaks(rule: RuleSaid, order: &str, found: usize, from: usize) -> Diagnostic {
    let headline = format!("the {order} breaks `{}`", rule.text);
    let why = format!(
        "{found} of the {} units from position {from} on are {} (the {order} starts again at its end)",
        rule.window, rule.model
    );
    impossible(rule.span, headline, why, "change the order or drop the rule")
}

pub fn tight(rule: RuleSaid, share: f64) -> Diagnostic {
    Diagnostic::new(
        Code::TightSpacing,
        rule.span,
        format!(
            "{} has a share of {} and `{}` allows {}: hardly any slack",
            rule.model,
            points(share),
            rule.text,
            points(rule.cap())
        ),
    )
    .marked("nearly full")
    .help("orders of that model will pile up in the order bank; loosen the rule or expect long waits for its orders")
}

/// A fixed order builds another mix than the models' shares say.
pub fn mix_differs(span: Span, order: &str, model: &str, built: f64, stated: f64) -> Diagnostic {
    Diagnostic::new(
        Code::MixDiffers,
        span,
        format!("the {order} builds {} of {model}, the models state {}", points(built), points(stated)),
    )
    .marked("another mix")
    .help("loads and mean times are weighted by the stated shares; correct them or the order")
}
