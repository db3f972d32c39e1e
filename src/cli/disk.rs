//! The disk behind `Sources`: files of one folder tree, nothing outside it, none over the limit.

use super::console::Trouble;
use std::fs::File;
use std::io::{self, ErrorKind, Read};
use std::path::{Path, PathBuf};
use taktwright::diagnostic::{SourceFault, Sources};

/// No file of a line or scenario is larger; what is, is refused before it is read.
pub const LARGEST_FILE: u64 = 16 * 1024 * 1024;

/// The name under which standard input stands in diagnostics.
pub const STANDARD_INPUT: &str = "standard input";

/// Files below the folder of the first file; symbolic links are followed and then judged.
#[derive(Debug)]
pub struct DiskSources {
    /// The folder of the first file, with every link resolved.
    root: PathBuf,
    /// Text from standard input, which stands in for the first file.
    typed: Option<Vec<u8>>,
}

/// A first file: where its folder tree is, its name in there, and how to show paths of that tree.
#[derive(Debug)]
pub struct FirstFile {
    pub sources: DiskSources,
    /// Its name inside the tree.
    pub name: String,
    /// What stands before names of the tree so that they read as the user typed them.
    pub shown_before: String,
}

impl FirstFile {
    /// `-` reads standard input, whose includes are looked for below the current folder.
    ///
    /// # Errors
    /// Standard input, or a file that is there, cannot be read. A file that is not there is the
    /// reader's to report.
    pub fn open(path: &Path) -> Result<FirstFile, Trouble> {
        if path == Path::new("-") {
            let mut typed = Vec::new();
            io::stdin()
                .lock()
                .take(LARGEST_FILE + 1)
                .read_to_end(&mut typed)
                .map_err(Trouble::machine("cannot read standard input"))?;
            let sources = DiskSources { root: resolved(Path::new(".")), typed: Some(typed) };
            return Ok(FirstFile { sources, name: STANDARD_INPUT.to_string(), shown_before: String::new() });
        }
        answers(path)?;
        let folder = match path.parent() {
            Some(folder) if folder != Path::new("") => folder,
            Some(_) | None => Path::new("."),
        };
        let name = path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
        let shown = path.to_string_lossy();
        let shown_before = shown.strip_suffix(&name).unwrap_or_default().to_string();
        Ok(FirstFile { sources: DiskSources { root: resolved(folder), typed: None }, name, shown_before })
    }
}

/// A file that is there and may not be read is the machine's failure, not a fault in the input.
#[expect(clippy::disallowed_methods, reason = "asks the disk whether it would answer")]
fn answers(path: &Path) -> Result<(), Trouble> {
    match File::open(path) {
        Err(why) if why.kind() == ErrorKind::PermissionDenied => {
            Err(Trouble::Machine { what: format!("cannot read {}", path.display()), why })
        }
        Ok(_) | Err(_) => Ok(()),
    }
}

/// The folder with every link resolved; as given where it does not exist (reading then says so).
fn resolved(folder: &Path) -> PathBuf {
    folder.canonicalize().unwrap_or_else(|_| folder.to_path_buf())
}

impl Sources for DiskSources {
    fn read(&self, path: &str) -> Result<Vec<u8>, SourceFault> {
        if let (Some(typed), STANDARD_INPUT) = (&self.typed, path) {
            return within_limit(typed.clone());
        }
        let wanted = self.root.join(path).canonicalize().map_err(fault)?;
        if !wanted.starts_with(&self.root) {
            return Err(SourceFault::Outside);
        }
        read_limited(&wanted)
    }

    fn today(&self) -> (i16, i8, i8) {
        let now = jiff::tz::TimeZone::UTC.to_datetime(jiff::Timestamp::now());
        (now.year(), now.month(), now.day())
    }
}

/// Reads a file that is a file and not too large. A folder, a pipe or a device is refused: reading
/// one might never end.
#[expect(clippy::disallowed_methods, reason = "the one place that reads files")]
fn read_limited(path: &Path) -> Result<Vec<u8>, SourceFault> {
    let about = path.metadata().map_err(fault)?;
    if !about.is_file() {
        return Err(SourceFault::Unreadable("it is not a file".to_string()));
    }
    if about.len() > LARGEST_FILE {
        return Err(SourceFault::TooLarge { found: about.len(), allowed: LARGEST_FILE });
    }
    let mut bytes = Vec::new();
    File::open(path).and_then(|file| file.take(LARGEST_FILE + 1).read_to_end(&mut bytes)).map_err(fault)?;
    within_limit(bytes)
}

fn within_limit(bytes: Vec<u8>) -> Result<Vec<u8>, SourceFault> {
    match bytes.len() as u64 {
        found if found > LARGEST_FILE => Err(SourceFault::TooLarge { found, allowed: LARGEST_FILE }),
        _ => Ok(bytes),
    }
}

#[expect(clippy::needless_pass_by_value, reason = "the shape that map_err takes")]
fn fault(error: io::Error) -> SourceFault {
    match error.kind() {
        ErrorKind::NotFound => SourceFault::Missing,
        _ => SourceFault::Unreadable(error.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    #[expect(clippy::disallowed_methods, reason = "the test lays out a folder tree")]
    fn nothing_outside_the_folder_tree_is_read() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let inside = folder.path().join("plant");
        std::fs::create_dir(&inside).expect("a folder");
        std::fs::write(folder.path().join("secret.csv"), "1\n").expect("a file outside");
        std::fs::write(inside.join("hall.line"), "line \"Hall\"\n").expect("a file inside");
        std::os::unix::fs::symlink(folder.path().join("secret.csv"), inside.join("times.csv"))
            .expect("a link that leads outside");
        let first = FirstFile::open(&inside.join("hall.line")).expect("a disk that answers");
        assert_eq!(first.name, "hall.line");
        assert_eq!(first.sources.read("hall.line"), Ok(b"line \"Hall\"\n".to_vec()));
        assert_eq!(first.sources.read("../secret.csv"), Err(SourceFault::Outside));
        assert_eq!(first.sources.read("times.csv"), Err(SourceFault::Outside));
        assert_eq!(first.sources.read("none.csv"), Err(SourceFault::Missing));
        assert_eq!(first.sources.read("."), Err(SourceFault::Unreadable("it is not a file".to_string())));
    }
}
