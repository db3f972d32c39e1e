//! `taktwright tidy`: line files in their canonical form, every comment kept.

use super::console::{Console, Trouble, write_aside};
use super::disk::FirstFile;
use super::options::TidyArgs;
use super::reading;
use super::status::Status;
use std::path::Path;
use taktwright::diagnostic::{Code, Diagnostic, FileId, SourceMap};
use taktwright::syntax;

pub fn run(args: &TidyArgs, console: Console) -> Result<Status, Trouble> {
    let mut status = Status::Fine;
    for path in &args.files {
        status = status.or_worse(one(path, args.check, console)?);
    }
    Ok(status)
}

fn one(path: &Path, check: bool, console: Console) -> Result<Status, Trouble> {
    let (map, unread) = text_of(path)?;
    let text = map.get(FileId(0)).map_or("", |file| file.text.as_str());
    let tidied = match unread.is_empty() {
        true => syntax::tidy(text),
        false => Err(unread),
    };
    match tidied {
        Err(faults) => {
            reading::show(&faults, &map, console);
            Ok(Status::BadInput)
        }
        Ok(tidied) if check => {
            if tidied == text {
                return Ok(Status::Fine);
            }
            console.print(&format!("{} is not in its canonical form\n", shown(path)))?;
            Ok(Status::Fails)
        }
        Ok(tidied) if path == Path::new("-") => console.print(&tidied).map(|()| Status::Fine),
        Ok(tidied) => {
            if tidied != text {
                write_aside(path, tidied.as_bytes())?;
                console.remark(&format!("tidied {}", path.display()));
            }
            Ok(Status::Fine)
        }
    }
}

/// The file as it stands, and why it can't be read as text. What it includes is tidied on its own.
fn text_of(path: &Path) -> Result<(SourceMap, Vec<Diagnostic>), Trouble> {
    let first = FirstFile::open(path)?;
    let loaded = syntax::load(&first.name, &first.sources);
    let mut map = loaded.map;
    if let Some(file) = map.files.first_mut() {
        file.path.insert_str(0, &first.shown_before);
    }
    let unread = loaded
        .faults
        .into_iter()
        .filter(|fault| fault.code == Code::BadFile && fault.primary.file == FileId(0))
        .collect();
    Ok((map, unread))
}

fn shown(path: &Path) -> String {
    match path == Path::new("-") {
        true => super::disk::STANDARD_INPUT.to_string(),
        false => path.display().to_string(),
    }
}
