//! The one way to test the command: a case says what goes in and everything that comes out.
//!
//! The built program runs in a folder of its own. Whole standard output, standard error, exit status
//! and written files are compared; what a case does not mention must be empty or untouched. A case
//! that simulates runs with 1, 2 and 8 threads and its bytes must be the same.

use std::collections::BTreeMap;
use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

/// What one stream or file must hold.
#[derive(Clone, Debug)]
enum Wanted {
    Exactly(String),
    /// A snapshot beside the suite, by name.
    Snapshot(String),
    /// Every one of these pieces, in this order; for texts whose rest another test pins.
    Pieces(Vec<String>),
}

/// One run of the command.
#[derive(Clone, Debug)]
#[must_use = "a case tests nothing until it is run: call `run()`"]
pub struct Case {
    arguments: Vec<String>,
    files: BTreeMap<String, String>,
    variables: Vec<(String, String)>,
    input: Option<String>,
    stdout: Wanted,
    stderr: Wanted,
    written: BTreeMap<String, Wanted>,
    status: i32,
    simulates: bool,
}

/// What a run left behind.
#[derive(Clone, PartialEq, Eq, Debug)]
struct Left {
    stdout: String,
    stderr: String,
    status: Option<i32>,
    files: BTreeMap<String, String>,
}

/// The arguments as typed, separated by spaces; quotes hold an argument with spaces together.
pub fn taktwright(arguments: &str) -> Case {
    Case {
        arguments: split(arguments),
        files: BTreeMap::new(),
        variables: Vec::new(),
        input: None,
        stdout: Wanted::Exactly(String::new()),
        stderr: Wanted::Exactly(String::new()),
        written: BTreeMap::new(),
        status: 0,
        simulates: false,
    }
}

impl Case {
    /// A file that is there before the run.
    pub fn file(mut self, name: &str, text: impl Into<String>) -> Case {
        self.files.insert(name.to_string(), text.into());
        self
    }

    /// The shipped scenarios, as they stand in the repository.
    pub fn with_scenarios(mut self) -> Case {
        for file in crate::house::files_below("scenarios", "") {
            self.files.insert(file.clone(), crate::house::text_of(&file));
        }
        self
    }

    pub fn variable(mut self, name: &str, value: &str) -> Case {
        self.variables.push((name.to_string(), value.to_string()));
        self
    }

    pub fn input(mut self, text: &str) -> Case {
        self.input = Some(text.to_string());
        self
    }

    pub fn stdout(mut self, text: impl Into<String>) -> Case {
        self.stdout = Wanted::Exactly(text.into());
        self
    }

    pub fn stdout_snapshot(mut self, name: &str) -> Case {
        self.stdout = Wanted::Snapshot(name.to_string());
        self
    }

    pub fn stdout_holds(mut self, pieces: &[&str]) -> Case {
        self.stdout = Wanted::Pieces(pieces.iter().map(|p| (*p).to_string()).collect());
        self
    }

    pub fn stderr(mut self, text: impl Into<String>) -> Case {
        self.stderr = Wanted::Exactly(text.into());
        self
    }

    pub fn stderr_snapshot(mut self, name: &str) -> Case {
        self.stderr = Wanted::Snapshot(name.to_string());
        self
    }

    pub fn stderr_holds(mut self, pieces: &[&str]) -> Case {
        self.stderr = Wanted::Pieces(pieces.iter().map(|p| (*p).to_string()).collect());
        self
    }

    /// A file that the run writes or changes.
    pub fn writes(mut self, name: &str, text: impl Into<String>) -> Case {
        self.written.insert(name.to_string(), Wanted::Exactly(text.into()));
        self
    }

    pub fn writes_holding(mut self, name: &str, pieces: &[&str]) -> Case {
        let pieces = pieces.iter().map(|p| (*p).to_string()).collect();
        self.written.insert(name.to_string(), Wanted::Pieces(pieces));
        self
    }

    pub fn status(mut self, code: i32) -> Case {
        self.status = code;
        self
    }

    /// Runs with 1, 2 and 8 threads, bytes compared.
    pub fn simulating(mut self) -> Case {
        self.simulates = true;
        self
    }

    /// Runs the case and compares everything; returns standard output for further looks.
    #[track_caller]
    pub fn run(self) -> String {
        let left = match self.simulates {
            false => self.once(&[]),
            true => {
                let one = self.once(&["--threads", "1"]);
                for threads in ["2", "8"] {
                    let more = self.once(&["--threads", threads]);
                    assert_eq!(
                        one, more,
                        "{} threads give other bytes than 1: {:?}",
                        threads, self.arguments
                    );
                }
                one
            }
        };
        self.compare(&left);
        left.stdout
    }

    #[track_caller]
    fn compare(&self, left: &Left) {
        let said = format!("{:?}\nstdout:\n{}\nstderr:\n{}", self.arguments, left.stdout, left.stderr);
        assert_eq!(left.status, Some(self.status), "exit status of {said}");
        meets(&self.stderr, &left.stderr, &format!("standard error of {said}"));
        meets(&self.stdout, &left.stdout, &format!("standard output of {said}"));
        for (name, wanted) in &self.written {
            let text = left.files.get(name).unwrap_or_else(|| panic!("`{name}` was not written: {said}"));
            meets(wanted, text, &format!("the file `{name}` of {said}"));
        }
        for (name, text) in &left.files {
            let before = self.files.get(name);
            let expected = self.written.contains_key(name) || before == Some(text);
            assert!(expected, "`{name}` was written without being mentioned: {said}");
        }
        for name in self.files.keys() {
            assert!(left.files.contains_key(name), "`{name}` is gone: {said}");
        }
    }

    fn once(&self, more: &[&str]) -> Left {
        let folder = tempfile::tempdir().expect("a temporary folder");
        for (name, text) in &self.files {
            let path = folder.path().join(name);
            fs::create_dir_all(path.parent().expect("a file stands in a folder")).expect("a folder");
            fs::write(path, text).expect("a file before the run");
        }
        let mut command = Command::new(env!("CARGO_BIN_EXE_taktwright"));
        command
            .args(&self.arguments)
            .args(more)
            .current_dir(folder.path())
            .env_clear()
            .envs(self.variables.iter().cloned())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped());
        let mut child = command.spawn().expect("the built program starts");
        let mut stdin = child.stdin.take().expect("standard input is piped");
        // A program that does not read its input may be gone already: then there is nobody to write to.
        let _ = stdin.write_all(self.input.as_deref().unwrap_or_default().as_bytes());
        drop(stdin);
        let output = child.wait_with_output().expect("the program ends");
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("the program writes UTF-8");
        let mut files = BTreeMap::new();
        read_tree(folder.path(), folder.path(), &mut files);
        Left { stdout: text(output.stdout), stderr: text(output.stderr), status: output.status.code(), files }
    }
}

#[track_caller]
fn meets(wanted: &Wanted, text: &str, what: &str) {
    match wanted {
        Wanted::Exactly(exact) => assert!(text == exact, "{what}\n--- wanted:\n{exact}\n--- found:\n{text}"),
        Wanted::Snapshot(name) => insta::assert_snapshot!(name.as_str(), text),
        Wanted::Pieces(pieces) => {
            let mut rest = text;
            for piece in pieces {
                let Some(at) = rest.find(piece.as_str()) else {
                    panic!("{what}\n--- does not hold (in this order):\n{piece}\n--- found:\n{text}")
                };
                rest = &rest[at + piece.len()..];
            }
        }
    }
}

fn read_tree(root: &Path, folder: &Path, files: &mut BTreeMap<String, String>) {
    for entry in fs::read_dir(folder).expect("the folder of the run").flatten() {
        let path = entry.path();
        if path.is_dir() {
            read_tree(root, &path, files);
        } else {
            let name =
                path.strip_prefix(root).expect("below the folder of the run").to_string_lossy().into_owned();
            files.insert(
                name,
                String::from_utf8_lossy(&fs::read(&path).expect("a file after the run")).into_owned(),
            );
        }
    }
}

/// Splits at spaces outside quotes.
pub fn split(line: &str) -> Vec<String> {
    let (mut parts, mut part, mut quote, mut any) = (Vec::new(), String::new(), None, false);
    for c in line.chars() {
        match (c, quote) {
            ('"' | '\'', None) => (quote, any) = (Some(c), true),
            (c, Some(open)) if c == open => quote = None,
            (' ' | '\n', None) => {
                if any {
                    parts.push(std::mem::take(&mut part));
                    any = false;
                }
            }
            (c, _) => {
                part.push(c);
                any = true;
            }
        }
    }
    if any {
        parts.push(part);
    }
    parts
}

#[test]
fn an_argument_line_is_split_as_a_shell_would() {
    assert_eq!(split("verify --set a=3  'two words' \"\""), ["verify", "--set", "a=3", "two words", ""]);
}

#[test]
#[should_panic(expected = "standard error of")]
fn a_case_that_does_not_mention_a_complaint_fails() {
    taktwright("simulate none.line").status(2).run();
}

/// A text as standard input of a program started without this harness.
pub fn text_as_input(text: &str) -> Stdio {
    use std::io::Seek;
    let mut file = tempfile::tempfile().expect("a temporary file");
    file.write_all(text.as_bytes()).expect("room on the disk");
    file.rewind().expect("a file can be read from its start");
    Stdio::from(file)
}
