//! `--vary NAME A to B by C`: several words, as they are said, with quotes or without.

use clap::{Arg, ArgAction, ArgMatches, Args, FromArgMatches};

/// Ranges that are varied. A range is several words, typed with or without quotes.
#[derive(Debug)]
pub struct VaryArgs {
    /// One text for each `--vary`.
    pub ranges: Vec<String>,
}

/// Its help, in one piece.
const VARY: &str =
    "Vary a number of one file: `pace 22 to 26 min by 0.5`, `bays of A10 1 to 4`; given twice, a grid";
const VARY_LONG: &str = "Vary a number of one file and run every point on the same random days, as in `--vary pace 22 to \
26 min by 0.5` or `--vary bays of A10 1 to 4`; given twice, a grid. What can be varied: `pace`, `pace of SEGMENT`, \
`bays of STATION`, `places of RACK`, `slots before STATION`, `crew of STATION` (followed by a group where it has \
several), `people GROUP`, `floaters` (followed by their label where there are several), `equipment NAME`, `store of \
PART`, `carriers NAME`, `yard`. Counts go by 1 where no `by` is said. Put the file first, or quote the range";

impl FromArgMatches for VaryArgs {
    fn from_arg_matches(matches: &ArgMatches) -> Result<VaryArgs, clap::Error> {
        let given = matches.get_occurrences::<String>("vary").into_iter().flatten();
        let ranges = given.map(|words| words.map(String::as_str).collect::<Vec<_>>().join(" "));
        Ok(VaryArgs { ranges: ranges.collect() })
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        *self = VaryArgs::from_arg_matches(matches)?;
        Ok(())
    }
}

impl Args for VaryArgs {
    fn augment_args(command: clap::Command) -> clap::Command {
        let vary = Arg::new("vary").long("vary").value_name("NAME A to B by C").num_args(1..);
        command.arg(vary.action(ArgAction::Append).help(VARY).long_help(VARY_LONG))
    }

    fn augment_args_for_update(command: clap::Command) -> clap::Command {
        VaryArgs::augment_args(command)
    }
}
