//! Where a report goes: what is no file is written to and stays; a link stays, and its file is the one replaced.
#![cfg(unix)]

use std::io::Read;
use std::path::Path;
use std::process::{Command, Stdio};

const LINE: &str = "line \"One\"\nstation S crew 1\ntask a takes 4 min by 1 at S\n";

/// Runs the program in a folder; its status.
fn ran(folder: &Path, arguments: &[&str]) -> Option<i32> {
    let program = env!("CARGO_BIN_EXE_taktwright");
    let run = Command::new(program).args(arguments).current_dir(folder).stderr(Stdio::inherit()).status();
    run.expect("the program starts").code()
}

#[test]
fn a_pipe_gets_the_report_and_stays_a_pipe() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    std::fs::write(folder.path().join("one.line"), LINE).expect("a file");
    let pipe = folder.path().join("pipe");
    assert!(Command::new("mkfifo").arg(&pipe).status().expect("mkfifo is there").success());
    let reader = std::thread::spawn({
        let pipe = pipe.clone();
        move || {
            let mut text = String::new();
            std::fs::File::open(pipe).expect("the pipe").read_to_string(&mut text).expect("text");
            text
        }
    });
    let asked =
        ["simulate", "one.line", "--units", "20", "--replications", "2", "--quiet", "--output", "pipe"];
    assert_eq!(ran(folder.path(), &asked), Some(0));
    let text = reader.join().expect("the reader ends");
    assert!(text.contains("One, layout today"), "{text}");
    assert!(!pipe.metadata().expect("it is there").is_file(), "the pipe was replaced by a file");
}

#[test]
fn a_link_stays_and_its_file_is_replaced() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let (file, link) = (folder.path().join("one.line"), folder.path().join("link.line"));
    std::fs::write(&file, LINE.replace("crew 1", "crew   1")).expect("a file");
    std::os::unix::fs::symlink("one.line", &link).expect("a link");
    assert_eq!(ran(folder.path(), &["tidy", "--quiet", "link.line"]), Some(0));
    assert!(link.symlink_metadata().expect("the link").is_symlink());
    let text = std::fs::read_to_string(&file).expect("the file");
    assert!(text.contains("crew 1\n"), "{text}");
}
