//! Arithmetic: numbers, quantities, names and the operators between them.

use super::{Builder, Built, parts};
use crate::diagnostic::words::reading;
use crate::syntax::grammar::Rule;
use crate::syntax::limits;
use crate::syntax::tree::{Expr, ExprKind, Op};
use pest::iterators::Pair;

impl Builder<'_> {
    /// `amount`: arithmetic, perhaps `per` a period.
    pub(super) fn amount(&self, pair: Pair<'_, Rule>) -> Built<Expr> {
        let span = self.span(&pair);
        let mut inner = pair.into_inner();
        let first = inner.next().expect("an amount holds a value");
        let value = if first.as_rule() == Rule::sum { self.chain(first)? } else { self.operand(first)? };
        Ok(match inner.last() {
            None => value,
            Some(period) => Expr { kind: ExprKind::Per(Box::new(value), self.name(&period)), span },
        })
    }

    /// `count`, `sum`, `product`, `plain_sum`, `plain_product`: operands and the operators between them, from left
    /// to right.
    pub(super) fn chain(&self, pair: Pair<'_, Rule>) -> Built<Expr> {
        let whole = self.span(&pair);
        let mut value: Option<Expr> = None;
        let mut operator = None;
        let mut negative = None;
        let mut operators = 0;
        for part in pair.into_inner() {
            let operand = match part.as_rule() {
                // A minus where an operand is due is a sign, not an operator.
                Rule::minus if operator.is_some() || value.is_none() => {
                    negative = Some(self.span(&part));
                    continue;
                }
                Rule::plus | Rule::minus | Rule::times | Rule::slash => {
                    operator = Some(operation(part.as_rule()));
                    operators += 1;
                    // Before the tree grows: a deep one could not even be dropped.
                    if operators > limits::OPERATORS {
                        return Err(reading::long_arithmetic(whole, limits::OPERATORS));
                    }
                    continue;
                }
                Rule::product | Rule::plain_sum | Rule::plain_product => self.chain(part)?,
                _ => self.operand(part)?,
            };
            let operand = match negative.take() {
                None => operand,
                Some(sign) => {
                    let span = sign.to(operand.span);
                    Expr { kind: ExprKind::Negative(Box::new(operand)), span }
                }
            };
            value = Some(match (value, operator.take()) {
                (Some(left), Some(op)) => {
                    let span = left.span.to(operand.span);
                    let kind = ExprKind::Binary { op, left: Box::new(left), right: Box::new(operand) };
                    Expr { kind, span }
                }
                _ => operand,
            });
        }
        Ok(value.expect("arithmetic holds an operand"))
    }

    /// `quantity`, `bare`, `bracket` or `name` where a value is due.
    pub(super) fn operand(&self, pair: Pair<'_, Rule>) -> Built<Expr> {
        let span = self.span(&pair);
        if pair.as_rule() == Rule::name {
            return Ok(Expr { kind: ExprKind::Name(pair.as_str().to_string()), span });
        }
        if pair.as_rule() == Rule::bracket {
            let sum = pair.into_inner().find(|part| part.as_rule() == Rule::sum);
            let inner = self.chain(sum.expect("brackets hold a sum"))?;
            return Ok(Expr { kind: inner.kind, span });
        }
        let mut parts = parts(pair);
        let number = parts.due();
        let unit = parts.next().map(|unit| self.name(&unit));
        let text = number.as_str().to_string();
        if text.len() > limits::DIGITS {
            return Err(reading::long_number(self.span(&number), text.len(), limits::DIGITS));
        }
        let value = text.parse().expect("digits, perhaps with a point, are a number");
        Ok(Expr { kind: ExprKind::Number { value, text, unit }, span })
    }

    /// `count`
    pub(super) fn count(&self, pair: Pair<'_, Rule>) -> Built<Expr> {
        self.chain(pair)
    }
}

fn operation(rule: Rule) -> Op {
    match rule {
        Rule::plus => Op::Add,
        Rule::minus => Op::Subtract,
        Rule::times => Op::Multiply,
        _ => Op::Divide,
    }
}
