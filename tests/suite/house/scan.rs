//! Rust text made safe to search: comments and strings blanked, test code cut out.

/// The text with the inside of comments, strings and character literals replaced by spaces; lines
/// and columns stay.
pub fn code_of(text: &str) -> String {
    let bytes = text.as_bytes();
    let mut out = bytes.to_vec();
    let mut at = 0;
    while at < bytes.len() {
        let (inside, end) = match bytes[at] {
            b'/' if bytes.get(at + 1) == Some(&b'/') => {
                let end = find(bytes, at, b"\n").unwrap_or(bytes.len());
                (at..end, end)
            }
            b'/' if bytes.get(at + 1) == Some(&b'*') => {
                let end = find(bytes, at + 2, b"*/").map_or(bytes.len(), |e| e + 2);
                (at..end, end)
            }
            b'r' if !is_word(bytes, at.wrapping_sub(1)) && raw_hashes(bytes, at + 1).is_some() => {
                let hashes = raw_hashes(bytes, at + 1).unwrap_or_default();
                let start = at + 2 + hashes;
                let close = [&b"\""[..], &vec![b'#'; hashes]].concat();
                let end = find(bytes, start, &close).unwrap_or(bytes.len());
                (start..end, (end + close.len()).min(bytes.len()))
            }
            b'"' => {
                let end = string_end(bytes, at + 1);
                (at + 1..end, (end + 1).min(bytes.len()))
            }
            b'\'' => match char_end(bytes, at) {
                Some(end) => (at + 1..end, end + 1),
                None => (at..at, at + 1),
            },
            _ => (at..at, at + 1),
        };
        for byte in &mut out[inside] {
            if *byte != b'\n' {
                *byte = b' ';
            }
        }
        at = end;
    }
    String::from_utf8(out.iter().map(|b| if b.is_ascii() { *b } else { b' ' }).collect())
        .expect("only ASCII is left")
}

/// `code_of` without the items under `#[cfg(test)]`.
pub fn product_of(text: &str) -> String {
    let mut code = code_of(text).into_bytes();
    let mark = b"#[cfg(test)]";
    let mut from = 0;
    while let Some(start) = find(&code, from, mark) {
        let end = item_end(&code, start + mark.len());
        for byte in &mut code[start..end] {
            if *byte != b'\n' {
                *byte = b' ';
            }
        }
        from = end;
    }
    String::from_utf8(code).expect("only ASCII is left")
}

/// The end of the item that starts at `from`: its closing brace, or its semicolon if that comes first.
pub fn item_end(code: &[u8], from: usize) -> usize {
    let mut depth = 0_usize;
    for (at, byte) in code.iter().enumerate().skip(from) {
        match byte {
            b'{' => depth += 1,
            b'}' if depth == 1 => return at + 1,
            b'}' => depth = depth.saturating_sub(1),
            b';' if depth == 0 => return at + 1,
            _ => {}
        }
    }
    code.len()
}

/// Line number (from 1) of a byte.
pub fn line_at(text: &str, at: usize) -> usize {
    text.as_bytes()[..at].iter().filter(|b| **b == b'\n').count() + 1
}

pub fn find(bytes: &[u8], from: usize, wanted: &[u8]) -> Option<usize> {
    bytes.get(from..)?.windows(wanted.len()).position(|w| w == wanted).map(|at| from + at)
}

/// Is the byte part of a name?
pub fn is_word(bytes: &[u8], at: usize) -> bool {
    bytes.get(at).is_some_and(|b| b.is_ascii_alphanumeric() || *b == b'_')
}

/// Where each whole word `word` stands.
pub fn words<'a>(code: &'a str, word: &'a str) -> impl Iterator<Item = usize> + 'a {
    let bytes = code.as_bytes();
    code.match_indices(word)
        .map(|(at, _)| at)
        .filter(move |at| !is_word(bytes, at.wrapping_sub(1)) && !is_word(bytes, at + word.len()))
}

fn raw_hashes(bytes: &[u8], from: usize) -> Option<usize> {
    let hashes = bytes[from..].iter().take_while(|b| **b == b'#').count();
    (bytes.get(from + hashes) == Some(&b'"')).then_some(hashes)
}

fn string_end(bytes: &[u8], from: usize) -> usize {
    let mut at = from;
    while at < bytes.len() && bytes[at] != b'"' {
        at += if bytes[at] == b'\\' { 2 } else { 1 };
    }
    at.min(bytes.len())
}

/// The closing quote of a character literal; `None` for a lifetime.
fn char_end(bytes: &[u8], at: usize) -> Option<usize> {
    if bytes.get(at + 1) == Some(&b'\\') {
        return find(bytes, at + 3, b"'");
    }
    let end = find(bytes, at + 1, b"'")?;
    (end - at <= 5 && end > at + 1 && !bytes[at + 1..end].contains(&b'\n') && one_char(&bytes[at + 1..end]))
        .then_some(end)
}

fn one_char(bytes: &[u8]) -> bool {
    std::str::from_utf8(bytes).is_ok_and(|text| text.chars().count() == 1)
}

#[test]
fn comments_strings_and_characters_are_blanked() {
    let text = "let a = \"crate::x \\\" y\"; // crate::z\nlet b = r#\"a\"b\"#; /* u */ let c = '\"'; fn f<'a>() {}\n";
    let code = code_of(text);
    assert_eq!(code.len(), text.len());
    assert!(!code.contains("crate"));
    assert!(code.contains("fn f<'a>() {}"));
    assert!(code.contains("let c = ' ';"));
}

#[test]
fn test_code_is_cut_out() {
    let text =
        "fn a() {}\n#[cfg(test)]\nmod tests { fn b() { { } } }\nfn c() {}\n#[cfg(test)]\nuse crate::d;\n";
    let code = product_of(text);
    assert!(code.contains("fn a") && code.contains("fn c"));
    assert!(!code.contains("fn b") && !code.contains("crate"));
}
