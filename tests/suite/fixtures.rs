//! Files with a verdict: those in tests/fixtures/ok read clean, those in tests/fixtures/err carry what is
//! said about them.
//!
//! Above a faulty line stand its notes: `#! CODE line:column headline`, then `#! help: ...` for each
//! cure; a fault in an included file names it, `#! CODE file:line:column headline`, at the top. What is
//! said without a note fails as surely as a note that nothing says. TAKTWRIGHT_BLESS=1 rewrites the
//! notes: the difference is the review. A folder named after a fixture holds the files that it reads.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use taktwright::diagnostic::{Diagnostic, MapSources, Places, SourceMap, render_text};
use taktwright::syntax::load;

/// What reads a fixture: its name, and the files that it can see.
type Reader = fn(&str, &MapSources) -> (SourceMap, Vec<Diagnostic>);

/// Reading only, without a check of what the file means.
fn read_only(name: &str, sources: &MapSources) -> (SourceMap, Vec<Diagnostic>) {
    let loaded = load(name, sources);
    (loaded.map, loaded.faults)
}

/// Reading and checking.
fn read_and_check(name: &str, sources: &MapSources) -> (SourceMap, Vec<Diagnostic>) {
    let reading = taktwright::read(name, sources, &[]);
    (reading.map, reading.faults)
}

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures").join(name)
}

/// The fixtures of a folder in order of their names.
fn fixtures(folder: &Path) -> Vec<PathBuf> {
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .expect("the folder of fixtures is there")
        .map(|entry| entry.expect("its entries can be read").path())
        .filter(|path| path.extension().is_some_and(|kind| kind == "line"))
        .collect();
    files.sort();
    assert!(!files.is_empty());
    files
}

#[expect(clippy::disallowed_methods, reason = "tests read their fixtures from the disk")]
fn bytes(path: &Path) -> Vec<u8> {
    std::fs::read(path).expect("a fixture can be read")
}

/// Every file below a folder, by its path from there.
fn gather(top: &Path, folder: &Path, into: &mut BTreeMap<String, Vec<u8>>) {
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    for entry in entries {
        let path = entry.expect("its entries can be read").path();
        if path.is_dir() {
            gather(top, &path, into);
        } else {
            let name = path.strip_prefix(top).expect("it lies below").to_string_lossy().replace('\\', "/");
            into.insert(name, bytes(&path));
        }
    }
}

fn name_of(path: &Path) -> String {
    path.file_name().expect("a fixture has a name").to_string_lossy().into_owned()
}

fn sources(path: &Path, text: &str) -> MapSources {
    let beside = path.with_extension("");
    let mut sources = MapSources::one(&name_of(path), text);
    gather(&beside, &beside, &mut sources.files);
    sources
}

/// One diagnostic as its notes say it, and the line of the fixture that they stand above; 0 for the top.
struct Said {
    line: usize,
    notes: Vec<String>,
}

fn said(map: &SourceMap, faults: &[Diagnostic]) -> Vec<Said> {
    let mut places = Places::new(map);
    let mut found: Vec<Said> = faults
        .iter()
        .map(|fault| {
            let file = fault.primary.file;
            let range = places.range(fault.primary);
            let place = places.place(file, range.start);
            let path = match file.0 {
                0 => String::new(),
                _ => format!("{}:", map.get(file).map_or("", |file| &file.path)),
            };
            let (code, headline) = (fault.code.text(), &fault.headline);
            let mut notes = vec![format!("#! {code} {path}{}:{} {headline}", place.line, place.column)];
            notes.extend(fault.help.iter().map(|help| format!("#! help: {help}")));
            Said { line: if file.0 == 0 { place.line } else { 0 }, notes }
        })
        .collect();
    found.sort_by_key(|said| said.line);
    found
}

/// The text without its notes, and with the notes that it should have.
fn blessed(path: &Path, text: &str, read: Reader) -> String {
    let bare: String = text.split_inclusive('\n').filter(|line| !line.starts_with("#!")).collect();
    let (map, faults) = read(&name_of(path), &sources(path, &bare));
    let found = said(&map, &faults);
    let mut out = String::new();
    let top = || found.iter().filter(|said| said.line == 0).flat_map(|said| &said.notes);
    let mut added = top().count();
    out.extend(top().flat_map(|note| [note.as_str(), "\n"]));
    for (index, line) in bare.split_inclusive('\n').enumerate() {
        let here = || found.iter().filter(|said| said.line == index + 1);
        added += here().map(|said| said.notes.len()).sum::<usize>();
        for said in here() {
            for note in &said.notes {
                out.push_str(&moved(note, index + 1, added));
                out.push('\n');
            }
        }
        out.push_str(line);
    }
    out
}

/// A note with the line that its place has once all notes above it stand there.
fn moved(note: &str, line: usize, added: usize) -> String {
    match note.split_once(&format!(" {line}:")) {
        Some((code, rest)) if !note.starts_with("#! help:") && code.len() == "#! T101".len() => {
            format!("{code} {}:{rest}", line + added)
        }
        _ => note.to_string(),
    }
}

/// What is wrong with a fixture: nothing if its notes say exactly what is said about it.
fn verdict(path: &Path, text: &str, read: Reader) -> Result<(), String> {
    let (map, faults) = read(&name_of(path), &sources(path, text));
    let found: Vec<String> = said(&map, &faults).into_iter().flat_map(|said| said.notes).collect();
    let noted: Vec<String> = text.lines().filter(|line| line.starts_with("#!")).map(str::to_string).collect();
    if found == noted {
        return Ok(());
    }
    let unexpected: Vec<_> = found.iter().filter(|note| !noted.contains(note)).collect();
    let missing: Vec<_> = noted.iter().filter(|note| !found.contains(note)).collect();
    Err(format!(
        "{}\nsaid without a note: {unexpected:#?}\nnoted and not said: {missing:#?}\n{}",
        name_of(path),
        render_text(&faults, &map, false)
    ))
}

fn judge(kind: &str, read: Reader) {
    let bless = std::env::var_os("TAKTWRIGHT_BLESS").is_some();
    let mut wrong = Vec::new();
    for path in fixtures(&folder(kind)) {
        let text = String::from_utf8(bytes(&path)).expect("a fixture with notes is UTF-8");
        if bless {
            let text = blessed(&path, &text, read);
            #[expect(clippy::disallowed_methods, reason = "blessing rewrites the notes")]
            std::fs::write(&path, text).expect("a fixture can be written");
        } else if let Err(why) = verdict(&path, &text, read) {
            wrong.push(why);
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_good_fixture_reads_clean() {
    for path in fixtures(&folder("ok")) {
        let text = String::from_utf8(bytes(&path)).expect("a fixture is UTF-8");
        let (map, faults) = read_only(&name_of(&path), &sources(&path, &text));
        assert!(faults.is_empty(), "{}", render_text(&faults, &map, false));
    }
}

#[test]
fn every_bad_fixture_is_told_what_its_notes_say() {
    judge("err", read_and_check);
}

#[test]
fn an_unexpected_and_a_missing_note_both_fail_and_blessing_mends_them() {
    let path = Path::new("x.line");
    let text = "task a\n#! T101 9:9 nothing says this\ntask b tkes 3 min\n";
    let why = verdict(path, text, read_only).expect_err("two notes differ");
    assert!(why.contains("T101 3:8 `tkes`") && why.contains("9:9 nothing says this"), "{why}");
    let mended = blessed(path, text, read_only);
    assert_eq!(
        mended,
        "task a\n#! T101 4:8 `tkes` is no word that can stand here\n#! help: did you mean `takes`?\n\
         task b tkes 3 min\n"
    );
    assert_eq!(verdict(path, &mended, read_only), Ok(()));
}
