//! The two streams and the files: reports go to standard output or a file, the rest to standard error.

use super::status::Status;
use clap::ValueEnum;
use std::io::{self, ErrorKind, IsTerminal, Write};
use std::path::Path;
use taktwright::report::Dress;

/// Whether to colour what people read.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, ValueEnum)]
pub enum Color {
    /// On a terminal, unless NO_COLOR is set.
    #[default]
    Auto,
    Always,
    Never,
}

/// Why a command could not do its work, beyond faults in a file (which are diagnostics).
#[derive(Debug)]
pub enum Trouble {
    /// The arguments do not fit together or with the file: what, and the cure.
    Arguments(String),
    /// Something could not be read or written: what, and why in the system's words.
    Machine { what: String, why: io::Error },
    /// Whoever reads our output has closed it; nothing is left to say.
    NobodyReads,
}

impl Trouble {
    pub fn machine(what: impl Into<String>) -> impl FnOnce(io::Error) -> Trouble {
        let what = what.into();
        move |why| Trouble::Machine { what, why }
    }
}

/// What the shared options say about the two streams.
#[derive(Clone, Copy, Debug)]
pub struct Console {
    color: Color,
    quiet: bool,
}

impl Console {
    pub fn new(color: Color, quiet: bool) -> Console {
        Console { color, quiet }
    }

    /// A bar that redraws itself makes sense.
    pub fn draws_bars(&self) -> bool {
        !self.quiet && io::stderr().is_terminal()
    }

    /// Diagnostics: always shown. The text may hold colour codes; they are dropped where not wanted.
    pub fn complain(&self, text: &str) {
        let mut stream = anstream::AutoStream::new(io::stderr().lock(), self.choice(&io::stderr()));
        // If nobody reads standard error there is nobody to tell.
        let _ = stream.write_all(text.as_bytes());
    }

    /// A remark beside the result, left out when quiet.
    pub fn remark(&self, text: &str) {
        if !self.quiet {
            self.complain(&format!("{text}\n"));
        }
    }

    /// The result itself, to standard output.
    ///
    /// # Errors
    /// Standard output can't be written.
    pub fn print(&self, text: &str) -> Result<(), Trouble> {
        let mut stream = anstream::AutoStream::new(io::stdout().lock(), self.choice(&io::stdout()));
        match stream.write_all(text.as_bytes()).and_then(|()| stream.flush()) {
            Ok(()) => Ok(()),
            Err(why) if why.kind() == ErrorKind::BrokenPipe => Err(Trouble::NobodyReads),
            Err(why) => Err(Trouble::Machine { what: "cannot write to standard output".to_string(), why }),
        }
    }

    /// The result to standard output, or to the file named by `--output` or `-o`.
    ///
    /// # Errors
    /// It can't be written.
    pub fn deliver(&self, text: &str, output: Option<&Path>) -> Result<(), Trouble> {
        match output {
            Some(path) if path != Path::new("-") => write_aside(path, text.as_bytes()),
            Some(_) | None => self.print(text),
        }
    }

    /// Says what went wrong and turns it into the exit status.
    pub fn close(&self, outcome: Result<Status, Trouble>) -> Status {
        match outcome {
            Ok(status) => status,
            Err(Trouble::NobodyReads) => Status::Fine,
            Err(Trouble::Arguments(what)) => {
                self.complain(&format!("error: {what}\n"));
                Status::BadInput
            }
            Err(Trouble::Machine { what, why }) => {
                self.complain(&format!("error: {what}: {why}\n"));
                Status::MachineFailed
            }
        }
    }

    /// How a report looks: colour for standard output (dropped there where not wanted), plain in a file.
    pub fn dress(&self, output: Option<&Path>) -> Dress {
        match output {
            Some(path) if path != Path::new("-") => Dress::PLAIN,
            Some(_) | None => Dress::COLOURED,
        }
    }

    fn choice(&self, stream: &impl anstream::stream::RawStream) -> anstream::ColorChoice {
        match self.color {
            Color::Auto => anstream::AutoStream::choice(stream),
            Color::Always => anstream::ColorChoice::Always,
            Color::Never => anstream::ColorChoice::Never,
        }
    }
}

/// Writes a file beside its place and moves it there, so that no reader ever sees half of it.
///
/// What is there and is no file (a device, a pipe) is written to: a file moved over it would take it
/// away from everybody else. A link stays a link; the file that it leads to is the one replaced (a link that leads nowhere is replaced itself).
///
/// # Errors
/// The folder can't be written.
pub fn write_aside(path: &Path, bytes: &[u8]) -> Result<(), Trouble> {
    let failed = || Trouble::machine(format!("cannot write {}", path.display()));
    if path.metadata().is_ok_and(|there| !there.is_file() && !there.is_dir()) {
        let mut there = std::fs::OpenOptions::new().write(true).open(path).map_err(failed())?;
        return there.write_all(bytes).map_err(failed());
    }
    // A path that leads nowhere yet is its own place.
    let path = &path.canonicalize().unwrap_or_else(|_| path.to_path_buf());
    let folder = match path.parent() {
        Some(folder) if folder != Path::new("") => folder,
        Some(_) | None => Path::new("."),
    };
    let mut aside = tempfile::NamedTempFile::new_in(folder).map_err(failed())?;
    aside.write_all(bytes).map_err(failed())?;
    keep_permissions(path, aside.as_file()).map_err(failed())?;
    aside.persist(path).map_err(|error| failed()(error.error))?;
    Ok(())
}

/// Writes files into a folder, which is made where it is not there; others in it stay.
///
/// # Errors
/// The folder can't be made or written.
pub fn write_folder(folder: &Path, files: &[(String, String)]) -> Result<(), Trouble> {
    std::fs::create_dir_all(folder)
        .map_err(Trouble::machine(format!("cannot make the folder {}", folder.display())))?;
    files.iter().try_for_each(|(name, text)| write_aside(&folder.join(name), text.as_bytes()))
}

/// A rewritten file keeps its permissions; a new one gets the usual ones, not the temporary file's.
fn keep_permissions(path: &Path, aside: &std::fs::File) -> io::Result<()> {
    match path.metadata() {
        Ok(about) => aside.set_permissions(about.permissions()),
        #[cfg(unix)]
        Err(_) => {
            use std::os::unix::fs::PermissionsExt;
            aside.set_permissions(std::fs::Permissions::from_mode(0o644))
        }
        #[cfg(not(unix))]
        Err(_) => Ok(()),
    }
}
