//! Who mends what has stopped: T501, T503.

use crate::diagnostic::{Code, Diagnostic, Span};
use crate::units::count_of;

/// People who mend are so many of one named group.
pub fn menders_of_one_group(span: Span, of: &str) -> Diagnostic {
    Diagnostic::new(Code::NobodyCan, span, format!("who mends {of} must be people of one group"))
        .marked("which group?")
        .help("name a `people` group and how many of it: `people mechanics 2` and `by 1 mechanics`")
}

/// The group has too few people who are in no crew.
pub fn menders_in_crews(span: Span, of: &str, group: &str, wants: u32, has: u32, free: u32) -> Diagnostic {
    let who = count_of(wants as usize, "person");
    let headline =
        format!("mending {of} takes {who} of {group}: there are {has}, of whom {free} are in no crew");
    Diagnostic::new(Code::NotEnough, span, headline).marked(format!("takes {wants}")).help(format!(
        "only people outside the crews mend: raise the number of {group} or take some out of crews"
    ))
}

/// Calls that are all solved, weather that never or always stops.
pub fn never_stops(span: Span, of: &str, why: &str) -> Diagnostic {
    Diagnostic::new(Code::OutOfRange, span, format!("{of} never make a difference: {why}"))
        .marked("no chance in it")
        .help("take the statement out, or state a share between 0 % and 100 %")
}
