//! The formatter over generated files: meaning, remarks and order stay, and a second time changes nothing.

use proptest::prelude::*;
use taktwright::diagnostic::FileId;
use taktwright::syntax::{parse, tidy};

/// What a text says, without places.
fn meaning(text: &str) -> String {
    let parsed = parse(FileId(0), text);
    assert_eq!(parsed.faults, [], "in\n{text}");
    let shown = format!("{:?}", parsed.tree.statements);
    let mut plain = String::with_capacity(shown.len());
    let mut rest = shown.as_str();
    while let Some(at) = rest.find("Span {") {
        plain.push_str(&rest[..at]);
        rest = &rest[at + rest[at..].find('}').expect("a span closes") + 1..];
    }
    plain + rest
}

/// The words of a text without its blanks, and its remarks in order.
fn words_and_remarks(text: &str) -> (String, Vec<String>) {
    let mut words = String::new();
    let mut remarks = Vec::new();
    for line in text.split(['\n', '\r']) {
        let quoted = |at: usize| line[..at].matches('"').count() % 2 == 1;
        let remark = line.char_indices().find(|(at, c)| *c == '#' && !quoted(*at)).map(|(at, _)| at);
        words.extend(line[..remark.unwrap_or(line.len())].chars().filter(|c| !c.is_whitespace()));
        remarks.extend(remark.map(|at| line[at..].trim_end().to_string()));
    }
    (words, remarks)
}

fn check(text: &str) {
    let once = tidy(text).unwrap_or_else(|faults| panic!("{faults:#?}\nin\n{text}"));
    assert_eq!(meaning(&once), meaning(text), "in\n{text}\ntidied\n{once}");
    assert_eq!(words_and_remarks(&once), words_and_remarks(text), "in\n{text}\ntidied\n{once}");
    assert_eq!(tidy(&once).as_deref(), Ok(once.as_str()), "in\n{text}");
}

#[test]
fn every_good_fixture_keeps_its_meaning_and_its_remarks() {
    check(include_str!("../fixtures/ok/every-clause.line"));
}

// ---- a generator of files: every statement and every clause, with blanks and remarks anywhere ----

/// Tokens of a sentence; joined with any blanks between them. A text that starts with `~` sticks to
/// the one before it.
type Words = Vec<String>;

fn words(text: &str) -> Words {
    let mut out = Vec::new();
    let mut label = String::new();
    for part in text.split(' ').filter(|part| !part.is_empty()) {
        if !label.is_empty() || part.starts_with('"') && (part.len() == 1 || !part.ends_with('"')) {
            if !label.is_empty() {
                label.push(' ');
            }
            label.push_str(part);
            if label.len() > 1 && label.ends_with('"') {
                out.push(std::mem::take(&mut label));
            }
        } else {
            out.push(part.to_string());
        }
    }
    out
}

fn name() -> impl Strategy<Value = String> {
    prop_oneof![
        (0u8..4, 0u8..100).prop_map(|(letter, n)| format!("{}{n}", char::from(b'a' + letter))),
        Just("A05".to_string()),
        Just("C-12".to_string()),
        Just("rough".to_string()),
        Just("Prüf_stand-1".to_string()),
        Just("溶接".to_string()),
        Just("late".to_string()),
        Just("stations".to_string()),
    ]
}

fn number() -> impl Strategy<Value = String> {
    prop_oneof![
        (0u32..1000).prop_map(|n| n.to_string()),
        (0u32..100, 0u32..1000).prop_map(|(whole, part)| format!("{whole}.{part}")),
    ]
}

fn unit() -> impl Strategy<Value = String> {
    prop::sample::select(vec!["s", "min", "h", "days", "%", "m", "kg", "eur"]).prop_map(String::from)
}

/// Joins generated pieces with single blanks.
macro_rules! sentence {
    ($($piece:expr),+ $(,)?) => { row(vec![$($piece.boxed()),+]) };
}

fn row(pieces: Vec<BoxedStrategy<String>>) -> BoxedStrategy<String> {
    pieces.prop_map(|pieces| pieces.join(" ")).boxed()
}

fn text(text: &'static str) -> BoxedStrategy<String> {
    Just(text.to_string()).boxed()
}

fn list(item: BoxedStrategy<String>) -> BoxedStrategy<String> {
    prop::collection::vec(item, 1..4).prop_map(|items| items.join(" , ")).boxed()
}

fn maybe(piece: BoxedStrategy<String>) -> BoxedStrategy<String> {
    prop_oneof![Just(String::new()), piece].boxed()
}

fn label() -> BoxedStrategy<String> {
    let letters = prop::sample::select("azé#,{}()/-".chars().collect::<Vec<_>>());
    let odd = prop::collection::vec(letters, 0..12)
        .prop_map(|letters| format!("\"{}\"", letters.into_iter().collect::<String>()));
    prop_oneof![odd.boxed(), text("\"Set base frame, level\"")].boxed()
}

fn arithmetic(leaf: BoxedStrategy<String>) -> BoxedStrategy<String> {
    leaf.prop_recursive(3, 8, 3, |inner| {
        prop_oneof![
            sentence!(
                inner.clone(),
                prop::sample::select(vec!["+", "-", "*", "/"]).prop_map(String::from),
                inner.clone()
            ),
            inner.clone().prop_map(|inner| format!("( {inner} )")),
            inner.prop_map(|inner| format!("- ~( {inner} )")),
        ]
    })
    .boxed()
}

fn count() -> BoxedStrategy<String> {
    prop_oneof![4 => number().boxed(), 1 => name().boxed(), 1 => arithmetic(number().boxed())].boxed()
}

fn amount() -> BoxedStrategy<String> {
    let quantity = || sentence!(number(), unit());
    let leaf = prop_oneof![4 => quantity(), 1 => number(), 1 => name()].boxed();
    prop_oneof![
        4 => quantity(),
        1 => arithmetic(leaf),
        1 => sentence!(count(), text("per"), prop::sample::select(vec!["shift", "hour", "day", "week"]).prop_map(String::from)),
    ]
    .boxed()
}

fn slash_list() -> BoxedStrategy<String> {
    (number(), number(), number()).prop_map(|(low, mode, high)| format!("{low}/{mode}/{high}")).boxed()
}

fn time() -> BoxedStrategy<String> {
    let shape = prop_oneof![
        sentence!(slash_list(), unit()),
        slash_list(),
        sentence!(text("pert"), slash_list(), unit()),
        sentence!(amount(), text("to"), amount()),
        amount(),
        sentence!(text("about"), amount(), text("sd"), amount()),
        sentence!(text("lognormal mean"), amount(), text("sd"), amount()),
        sentence!(text("gamma mean"), amount(), text("sd"), amount()),
        sentence!(text("erlang"), count(), text("mean"), amount()),
        sentence!(text("exponential mean"), amount()),
        sentence!(text("weibull shape"), count(), text("mean"), amount()),
        sentence!(text("one of"), list(sentence!(number(), unit(), number(), text("%")))),
        sentence!(text("observed"), label(), maybe(sentence!(text("column"), name())), maybe(unit().boxed())),
    ];
    sentence!(shape, maybe(sentence!(text("from"), count(), text("timings"))))
}

fn needs() -> BoxedStrategy<String> {
    list(sentence!(count(), maybe(sentence!(text("to"), count())), maybe(name().boxed())))
}

fn names() -> BoxedStrategy<String> {
    list(name().boxed())
}

fn spans() -> BoxedStrategy<String> {
    list(sentence!(name(), maybe(sentence!(text("to"), name()))))
}

fn passes() -> BoxedStrategy<String> {
    sentence!(text("passes"), amount(), maybe(sentence!(text(", again"), amount())))
}

fn outcome() -> BoxedStrategy<String> {
    let takes = || sentence!(text("takes"), time(), maybe(sentence!(text("by"), fix_people())));
    let then = || maybe(sentence!(text("then"), names()));
    prop_oneof![
        sentence!(text("fixed in place"), takes()),
        sentence!(text("back to"), name(), maybe(sentence!(text("redo"), names())), then()),
        sentence!(text("to"), name(), takes(), then()),
        text("scrapped"),
        text("retest in place"),
        text("retest in queue"),
    ]
    .boxed()
}

fn fix_people() -> BoxedStrategy<String> {
    let shared =
        sentence!(count(), text("to"), count(), text("shared power 0.8"), maybe(text(", fixed 2 min")));
    prop_oneof![2 => needs(), 1 => shared].boxed()
}

fn clause() -> BoxedStrategy<String> {
    let work = prop_oneof![
        sentence!(text("takes"), time()),
        sentence!(text("by"), needs()),
        sentence!(text("with"), list(sentence!(maybe(number().boxed()), name()))),
        sentence!(text("in"), names()),
        sentence!(text("after"), names()),
        sentence!(text("at"), name()),
        sentence!(text("only"), names()),
        sentence!(text("only with"), names()),
        sentence!(
            text("for"),
            names(),
            prop_oneof![
                sentence!(text("x"), count()),
                sentence!(text("by"), needs()),
                passes(),
                sentence!(slash_list(), unit())
            ]
        ),
        sentence!(text("at least"), amount()),
        text("through nights"),
        text("attended"),
        text("safety"),
        sentence!(
            text("within"),
            amount(),
            maybe(sentence!(text(", else redo"), names(), maybe(sentence!(text("takes"), time()))))
        ),
        sentence!(text("of"), spans()),
        passes(),
        sentence!(text("on fail"), maybe(sentence!(number(), text("%"))), outcome()),
        sentence!(text("at most"), count(), text("tries")),
        sentence!(text("at most"), count(), text("go on to"), name()),
        sentence!(text("finds"), count(), text("per unit")),
        sentence!(text("every"), count(), text("units")),
        sentence!(text("returning in"), time()),
        // Neither ends where an `every 10 units` may follow: it would be read as part of it.
        sentence!(text("in lots of"), count(), text("builds to stock")),
        text("once a lot"),
        sentence!(text("in trucks of"), count(), text("every"), amount()),
        sentence!(text("in trucks of"), count(), text(", arriving in"), amount()),
        sentence!(text("short"), amount(), text(", arriving in"), time()),
        sentence!(text("wrong"), amount(), text(", re-kitted in"), time()),
        sentence!(text("from"), name(), text("to"), name()),
        sentence!(text("lorries of"), count(), text("at 09:00, 13:30")),
    ];
    let place = prop_oneof![
        sentence!(text("crew"), list(sentence!(count(), maybe(name().boxed()))), maybe(text("per bay"))),
        sentence!(text("serving"), spans()),
        sentence!(prop::sample::select(vec!["bays", "slots", "places"]).prop_map(String::from), count()),
        sentence!(text("can"), names()),
        sentence!(
            text("up to"),
            count(),
            text("people"),
            maybe(sentence!(text("at"), name(), text(","), number(), text("at"), name()))
        ),
        text("pushed when all are ready"),
        sentence!(text("pushed every"), amount(), maybe(text("on the grid"))),
        sentence!(
            prop::sample::select(vec!["moving", "index", "meeting", "clean-up"]).prop_map(String::from),
            amount()
        ),
        sentence!(
            prop::sample::select(vec!["meal", "break", "stop"]).prop_map(String::from),
            text("10:30 lasting"),
            number(),
            unit(),
            prop::sample::select(vec!["", "paid", "unpaid"]).prop_map(String::from)
        ),
        text("on mon to wed , fri"),
        text("on \"today\""),
        sentence!(text("home after"), count(), text("units"), maybe(text(", not before 13:00"))),
        sentence!(text("no two"), name(), text("adjacent")),
        sentence!(text("at most"), count(), name(), text("of any"), count()),
        sentence!(text("looking"), count(), text("orders ahead")),
        text("returns first"),
        text("returns in turn"),
        sentence!(text("draws as"), name()),
        sentence!(text("uses"), maybe(number().boxed()), name(), text(","), number(), name()),
        sentence!(text("in lots of"), count(), text("every"), time(), maybe(text("on the clock"))),
        sentence!(text("in lots of"), count(), text("on mon to wed , fri at 06:00")),
        sentence!(text("in lots of"), count(), text("ordered at"), count(), text(", arriving in"), time()),
        sentence!(text("in lots of 40 every 2 h ,"), number(), text("% late by"), time()),
        sentence!(text("store of"), count(), maybe(sentence!(text(","), count(), text("at start")))),
    ];
    let later = prop::sample::select(vec![
        "late work travels up to 5 items",
        "drift 0.6 min",
        "drift 0.6 min both ways",
        "pull off to R1",
        "drift 0.6 min early",
        "may travel to B13 x 1.6",
        "may stand at A03 , A05 to A07",
        "stopping every exponential mean 40 h for 15/25/90 min",
        "when shop at least 15 C, else it waits",
        "when A05 at least 15 C",
        "through breaks",
        "only if it fits",
        "moving 0.25 m per min, a unit every 6 m",
        "length 12 m",
        "walk 0.5 min",
        "ordered",
        "space 60 m2 , 40 m2 each slot",
        "first b48 , b52 then b21",
        "needs stands, keel-up",
        "escapes 1 % to last-gate",
        "false alarm 5 %",
        "answering in 2 min",
        "covering A01 to A17",
    ])
    .prop_map(String::from);
    prop_oneof![5 => work, 5 => place, 1 => later].boxed()
}

fn opening() -> BoxedStrategy<String> {
    let select = |of: &[&'static str]| prop::sample::select(of.to_vec()).prop_map(String::from).boxed();
    let plain = prop_oneof![
        sentence!(text("line"), label()),
        sentence!(text("use"), label()),
        sentence!(text("let"), name(), text("="), amount()),
        sentence!(text("shift"), name(), maybe(label()), text("06:00 to 14:30")),
        text("closed 2026-12-24 , 2026-12-27 to 2026-12-31"),
        sentence!(select(&["demand", "takt", "pace", "confidence"]), amount()),
        sentence!(select(&["model", "option"]), name(), maybe(label()), maybe(amount())),
        sentence!(select(&["people", "equipment"]), name(), maybe(count()), maybe(label())),
        select(&["sequence random", "sequence levelled", "sequence pattern S S T", "sequence batches of 4"]),
        sentence!(text("sequence list"), label()),
        select(&["release saturated", "release by takt", "start empty", "start full on 2026-11-30"]),
        sentence!(text("release every"), time(), maybe(text("on the clock"))),
        sentence!(text("release list"), label()),
        sentence!(text("segment"), name(), maybe(label()), name(), text("to"), name()),
        sentence!(
            text("window"),
            name(),
            select(&["end", "start"]),
            text("to"),
            name(),
            select(&["end", "start"])
        ),
        sentence!(text("keep"), name(), text("from"), name(), text("to"), name()),
        sentence!(text("change task"), name(), maybe(label())),
        sentence!(text("change demand"), amount()),
        sentence!(text("remove task"), name()),
        sentence!(text("promise at least"), count(), text("units per shift on 80 % of shifts")),
        sentence!(
            text("promise"),
            select(&[
                "mean units per shift",
                "wait at rough p95",
                "flow time max",
                "work in process",
                "first pass yield at rough",
                "minutes between units",
                "labour per unit",
                "units per hour"
            ]),
            select(&["at least", "at most"]),
            amount()
        ),
        text("promise no hold under its minimum"),
    ];
    let named = sentence!(
        select(&[
            "station", "rack", "repair", "task", "hold", "test", "zone", "limit", "team", "supply", "feeder"
        ]),
        name(),
        maybe(label())
    );
    prop_oneof![2 => plain, 3 => named].boxed()
}

fn statement() -> BoxedStrategy<Words> {
    (opening(), prop::collection::vec((clause(), any::<bool>()), 0..6))
        .prop_map(|(opening, clauses)| {
            let mut sentence = opening;
            for (clause, comma) in clauses {
                sentence.push_str(if comma { " , " } else { " " });
                sentence.push_str(&clause);
            }
            words(&sentence)
        })
        .boxed()
}

fn kept() -> BoxedStrategy<String> {
    prop::sample::select(vec![
        "floaters 3 can plumb  or tile, covering A01 to A17,\n   answering in 2 min",
        "relief 2 \"Tag\" can plumb",
        "temperature hall \"Hall\" 18 C, 14 C from 22:00 to 06:00, 12 C on sat to sun, 9 C",
        "overtime day 90 min when under 9 units at 11:00, at most 3 days a week times x 1.1",
        "shift extra 06:00 to 12:00 when under 20 units that week",
        "lanes booths \"Booths\" chosen by the\n shortest queue draws as old",
        "lane north \"North\" 60 % of booths only A, B {\n station P1 crew 4 # x\n\n\n  task p1 takes 3 min\n}",
    ])
    .prop_map(String::from)
    .boxed()
}

/// What may stand between two words of a statement. After a line break a statement word would open a
/// statement, so these go only before other words.
fn blank() -> BoxedStrategy<String> {
    prop_oneof![
        12 => text(" "),
        2 => text("\t  "),
        2 => text("\n  "),
        1 => text("\r\n"),
        1 => text(" # a remark, \"quoted\"\n"),
        1 => text("\n\n   # alone\n  # again\n "),
    ]
    .boxed()
}

fn opens_statement(word: &str) -> bool {
    taktwright::syntax::tree::Word::find(word).is_some()
}

fn written() -> BoxedStrategy<String> {
    (statement(), prop::collection::vec(blank(), 60), any::<bool>())
        .prop_map(|(words, blanks, tight)| {
            let mut text = String::new();
            let mut blanks = blanks.into_iter().cycle();
            for (at, word) in words.iter().enumerate() {
                let blank = blanks.next().expect("a cycle has no end");
                let (stuck, word) = match word.strip_prefix('~') {
                    Some(word) => (true, word),
                    None => (false, word.as_str()),
                };
                if at > 0 && !stuck && !(tight && word == ",") {
                    text.push_str(if opens_statement(word) { " " } else { &blank });
                }
                text.push_str(word);
            }
            text
        })
        .boxed()
}

fn file() -> BoxedStrategy<String> {
    let between =
        prop::sample::select(vec!["\n", "\n\n", "\r\n", "\n\n\n\n", "  # trailing\n", "\n# own\n\n# two\n"]);
    let layout =
        (label(), prop::collection::vec((written(), between.clone()), 0..3)).prop_map(|(label, body)| {
            let body: String =
                body.into_iter().map(|(statement, gap)| format!("{statement}{gap}\n")).collect();
            format!("layout {label} on \"today\"{{\n{body}}}")
        });
    let item = prop_oneof![8 => written(), 1 => kept(), 1 => layout];
    prop::collection::vec((item, between), 0..8)
        .prop_map(|items| items.into_iter().map(|(item, gap)| format!("{item}{gap}\n")).collect::<String>())
        .boxed()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_file_keeps_its_meaning_its_remarks_and_its_order(text in file()) {
        check(&text);
    }
}

#[test]
fn the_shipped_lines_are_in_their_canonical_form() {
    let names = crate::house::files_below("scenarios", "line");
    assert!(names.len() >= 5, "{names:?}");
    let files = names.iter().filter_map(|name| name.rsplit_once('/'));
    let command = files.map(|(_, file)| format!(" scenarios/{file}")).collect::<String>();
    crate::harness::taktwright(&format!("tidy --check{command}")).with_scenarios().run();
}
