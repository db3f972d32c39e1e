//! Verdicts of scenarios as text, JSON and JUnit.

use super::verify::{Finding, Verdict, Verified};
use crate::units::count_of;
use quick_junit::{NonSuccessKind, Report, TestCase, TestCaseStatus, TestSuite};
use serde::Serialize;

/// The form of the verdicts.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum VerdictForm {
    Text,
    Json,
    Junit,
}

/// One scenario file and what came of it.
#[derive(Clone, PartialEq, Debug)]
pub struct Judged {
    /// The scenario file as named by the user.
    pub file: String,
    /// `Err` where it could not be run: the reasons, already reported as diagnostics.
    pub verified: Result<Verified, Vec<String>>,
}

/// All scenarios in one text.
pub fn render_verdicts(judged: &[Judged], form: VerdictForm) -> String {
    match form {
        VerdictForm::Text => text(judged),
        VerdictForm::Json => json(judged),
        VerdictForm::Junit => junit(judged),
    }
}

impl Verdict {
    pub fn words(self) -> &'static str {
        match self {
            Verdict::Holds => "holds",
            Verdict::Fails => "fails",
            Verdict::CannotTell => "cannot tell",
        }
    }
}

impl Finding {
    /// The layout, where it is about one, and what is expected.
    fn said(&self) -> String {
        match &self.layout {
            Some(layout) => format!("{layout}: {}", self.expected),
            None => self.expected.clone(),
        }
    }
}

fn text(judged: &[Judged]) -> String {
    let mut text = String::new();
    for one in judged {
        match &one.verified {
            Ok(verified) => {
                text.push_str(&format!("{}: {}\n", one.file, verified.run));
                for finding in &verified.findings {
                    text.push_str(&format!("  {:<11}  {}\n", finding.verdict.words(), finding.said()));
                    let shown = finding.why.iter().take(MOST_REASONS);
                    shown.for_each(|why| text.push_str(&format!("               {why}\n")));
                    if let Some(more) = finding.why.len().checked_sub(MOST_REASONS).filter(|n| *n > 0) {
                        text.push_str(&format!("               and {}\n", count_of(more, "more difference")));
                    }
                }
                verified
                    .cautions
                    .iter()
                    .for_each(|caution| text.push_str(&format!("  caution: {caution}\n")));
            }
            Err(reasons) => {
                text.push_str(&format!("{}: not run\n", one.file));
                reasons.iter().for_each(|why| text.push_str(&format!("  {why}\n")));
            }
        }
    }
    text + &closing(judged) + "\n"
}

/// Differences shown of one layout; all of them stand in JSON and JUnit.
const MOST_REASONS: usize = 12;

fn closing(judged: &[Judged]) -> String {
    let all = || judged.iter().filter_map(|one| one.verified.as_ref().ok()).flat_map(|v| &v.findings);
    let of = |verdict| all().filter(|f| f.verdict == verdict).count();
    let mut said = format!("{} of {} hold", of(Verdict::Holds), all().count());
    if of(Verdict::CannotTell) > 0 {
        said.push_str(&format!(", {} cannot be told", of(Verdict::CannotTell)));
    }
    let not_run = judged.iter().filter(|one| one.verified.is_err()).count();
    if not_run > 0 {
        said.push_str(&format!(", {} not run", count_of(not_run, "scenario")));
    }
    said
}

#[derive(Serialize)]
struct Verdicts<'a> {
    schema: &'static str,
    version: &'static str,
    scenarios: Vec<ScenarioVerdicts<'a>>,
}

#[derive(Serialize)]
struct ScenarioVerdicts<'a> {
    file: &'a str,
    /// `null` where it could not be run.
    run: Option<&'a str>,
    /// Why it could not be run.
    faults: &'a [String],
    findings: Vec<FindingJson<'a>>,
    cautions: &'a [String],
}

#[derive(Serialize)]
struct FindingJson<'a> {
    layout: Option<&'a str>,
    expected: &'a str,
    verdict: &'static str,
    why: &'a [String],
}

fn json(judged: &[Judged]) -> String {
    let scenarios = judged
        .iter()
        .map(|one| match &one.verified {
            Ok(verified) => ScenarioVerdicts {
                file: &one.file,
                run: Some(&verified.run),
                faults: &[],
                findings: verified.findings.iter().map(finding_json).collect(),
                cautions: &verified.cautions,
            },
            Err(faults) => {
                ScenarioVerdicts { file: &one.file, run: None, faults, findings: Vec::new(), cautions: &[] }
            }
        })
        .collect();
    let verdicts =
        Verdicts { schema: "taktwright.verdicts/1", version: env!("CARGO_PKG_VERSION"), scenarios };
    serde_json::to_string_pretty(&verdicts).expect("verdicts hold only text") + "\n"
}

fn finding_json(finding: &Finding) -> FindingJson<'_> {
    FindingJson {
        layout: finding.layout.as_deref(),
        expected: &finding.expected,
        verdict: finding.verdict.words(),
        why: &finding.why,
    }
}

fn junit(judged: &[Judged]) -> String {
    let mut report = Report::new("taktwright verify");
    for one in judged {
        let mut suite = TestSuite::new(one.file.as_str());
        match &one.verified {
            Ok(verified) => {
                suite.add_test_cases(verified.findings.iter().map(|finding| {
                    let mut case = TestCase::new(finding.said(), status(finding));
                    case.set_classname(one.file.as_str());
                    case
                }));
            }
            Err(reasons) => {
                let mut status = TestCaseStatus::non_success(NonSuccessKind::Error);
                status.set_type("not run").set_message(first(reasons)).set_description(reasons.join("\n"));
                let mut case = TestCase::new("the scenario can be run", status);
                case.set_classname(one.file.as_str());
                suite.add_test_case(case);
            }
        }
        report.add_test_suite(suite);
    }
    let text = report.to_string().expect("every text of a verdict is valid XML once it is escaped");
    if text.ends_with('\n') { text } else { text + "\n" }
}

/// An attribute of XML holds one line; all of them stand in the element.
fn first(lines: &[String]) -> &str {
    lines.first().map_or("", String::as_str)
}

fn status(finding: &Finding) -> TestCaseStatus {
    match finding.verdict {
        Verdict::Holds => TestCaseStatus::success(),
        Verdict::Fails | Verdict::CannotTell => {
            let mut status = TestCaseStatus::non_success(NonSuccessKind::Failure);
            status.set_type(finding.verdict.words());
            status.set_message(first(&finding.why)).set_description(finding.why.join("\n"));
            status
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::baseline::{Baseline, SCHEMA};

    fn judged() -> Vec<Judged> {
        let finding = |verdict, why: &[&str]| Finding {
            layout: Some("today".to_string()),
            expected: "units per shift at least 17.5".to_string(),
            verdict,
            why: why.iter().map(|w| (*w).to_string()).collect(),
        };
        let results = Baseline {
            schema: SCHEMA.to_string(),
            version: "0.1.0".to_string(),
            line: "Hall".to_string(),
            run: String::new(),
            layouts: Vec::new(),
        };
        let verified = Verified {
            findings: vec![finding(Verdict::Holds, &[]), finding(Verdict::Fails, &["17 (16 to <18)"])],
            run: "20 replications of 5 shifts, no warm-up, seed 1".to_string(),
            results,
            cautions: Vec::new(),
            interrupted: false,
        };
        vec![
            Judged { file: "hall.yaml".to_string(), verified: Ok(verified) },
            Judged {
                file: "bad.yaml".to_string(),
                verified: Err(vec!["a scenario has no key `lines`".to_string()]),
            },
        ]
    }

    #[test]
    fn verdicts_read_as_text() {
        assert_eq!(
            render_verdicts(&judged(), VerdictForm::Text),
            "\
hall.yaml: 20 replications of 5 shifts, no warm-up, seed 1
  holds        today: units per shift at least 17.5
  fails        today: units per shift at least 17.5
               17 (16 to <18)
bad.yaml: not run
  a scenario has no key `lines`
1 of 2 hold, 1 scenario not run
"
        );
    }

    #[test]
    fn verdicts_are_valid_for_programs_and_ci_servers() {
        let json: serde_json::Value =
            serde_json::from_str(&render_verdicts(&judged(), VerdictForm::Json)).expect("valid JSON");
        assert_eq!(json["scenarios"][0]["findings"][1]["verdict"], "fails");
        assert_eq!(json["scenarios"][1]["run"], serde_json::Value::Null);
        let junit = render_verdicts(&judged(), VerdictForm::Junit);
        assert!(junit.contains("tests=\"3\" skipped=\"0\" failures=\"1\" errors=\"1\""), "{junit}");
        assert!(junit.contains("17 (16 to &lt;18)"), "{junit}");
    }
}
