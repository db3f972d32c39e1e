//! The exit statuses: what a script or a CI job may rely on.

use std::process::ExitCode;

/// How a command ended. A panic (101) is none of these: it is always our bug.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Status {
    /// Everything asked for was done and holds.
    Fine,
    /// The line, scenario or file does not do what was asked of it.
    Fails,
    /// Bad input: a fault in a file or in the arguments.
    BadInput,
    /// The machine failed: something could not be read or written. Worth another try.
    MachineFailed,
    /// Ended early by Ctrl-C.
    Interrupted,
}

impl Status {
    pub const fn code(self) -> u8 {
        match self {
            Status::Fine => 0,
            Status::Fails => 1,
            Status::BadInput => 2,
            Status::MachineFailed => 3,
            Status::Interrupted => 130,
        }
    }

    /// The one to report of two: the higher code says more about what to do next.
    pub fn or_worse(self, other: Status) -> Status {
        if other.code() > self.code() { other } else { self }
    }
}

impl From<Status> for ExitCode {
    fn from(status: Status) -> ExitCode {
        ExitCode::from(status.code())
    }
}

#[cfg(test)]
mod tests {
    use super::Status;

    #[test]
    fn the_worse_of_two_statuses_is_reported() {
        assert_eq!(Status::Fails.or_worse(Status::BadInput), Status::BadInput);
        assert_eq!(Status::MachineFailed.or_worse(Status::Fine), Status::MachineFailed);
    }
}
