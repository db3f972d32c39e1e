//! The page of a balance and the graph of its order of work: whole in themselves, with the figures of the JSON form,
//! and nothing that a file says becomes markup or a statement of the graph.

use super::page::{assert_figures_are_those_of, assert_is_whole};
use crate::harness::taktwright;
use crate::house::text_of;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use taktwright::balance::{Aim, Goal, improve};
use taktwright::diagnostic::MapSources;
use taktwright::report::{BalanceFormat, Dress, balance_report, render_balance};

/// Labels that would be markup, or the end of a quoted name.
const BENCHES: &str = "\
line \"Benches </title><script>alert(1)</script>\"
pace 10 min
model X 60 %
model Y 40 %
people hands 4 can weld
station B1 \"Cut\\ out\" crew 1 hands
station B2 \"Join <b>it</b>\" crew 2 hands
station B3 \"Pack\" crew 1 hands
task cut \"]; x -> y; [\" takes 4 min at B1
task file takes 3/4/8 min after cut at B2 by 1
task join takes 10 min for Y by 1 after cut at B2 by 2 weld
task glue takes 3 min after join at B2 by 2
hold dry at least 2 min after glue at B2
task pack takes 4 min only X after dry, file at B3
";

fn balance(format: &str) -> String {
    taktwright(&format!("balance benches.line --aim smooth --chance 90% --reproducible --format {format}"))
        .file("benches.line", BENCHES)
        .stdout_holds(&["Benches"])
        .status(1)
        .run()
}

fn json_of(run: &str) -> Value {
    serde_json::from_str(run).expect("valid JSON")
}

#[test]
fn a_balance_makes_a_page_with_the_figures_of_its_json_form() {
    let (page, json) = (balance("html"), json_of(&balance("json")));
    assert_is_whole(&page);
    let figures = assert_figures_are_those_of(&page, &json);
    // Twelve of the line, two and three for each station, and so on.
    assert!(figures >= 30, "{figures} figures in\n{page}");
    assert_eq!(page.matches("<script").count(), 1, "our own alone");
    for piece in [
        "Join &lt;b&gt;it&lt;/b&gt;",
        "Loads before and after",
        "The order of work",
        "Who does what where",
        "Units over the window",
        "2 weld",
        "1 for Y",
        "Looked at once more",
        "Before you act on this",
    ] {
        assert!(page.contains(piece), "{piece} is missing in\n{page}");
    }
    // A box for each step and a line for each thing that it follows.
    let order = json["order"].as_array().expect("a list");
    let follows: usize = order.iter().map(|row| row["after"].as_array().map_or(0, Vec::len)).sum();
    assert_eq!((order.len(), follows), (6, 6));
    assert_eq!(page.matches("<g class=\"step").count(), order.len());
    assert_eq!(page.matches("<path class=\"arc\"").count(), follows);
    let moved = order.iter().filter(|row| row["station"] != row["today"]).count();
    assert!(moved > 0, "something moves");
    assert_eq!(page.matches("class=\"step moved\"").count(), moved);
}

#[test]
fn the_text_opens_with_the_sentence_and_ends_with_the_cautions() {
    let (text, json) = (balance("text"), json_of(&balance("json")));
    let joined = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(joined.contains(json["sentence"].as_str().expect("words")), "{text}");
    for caution in json["cautions"].as_array().expect("a list") {
        assert!(joined.contains(caution["text"].as_str().expect("words")), "{caution}");
    }
    for row in json["checked"].as_array().expect("a list") {
        assert!(joined.contains(row["rule"].as_str().expect("words")), "{row}");
    }
}

/// A graph in the DOT language, as far as ours goes: names in quotes, attributes in brackets, clusters.
#[derive(Debug, Default)]
struct Graph {
    nodes: BTreeMap<String, BTreeMap<String, String>>,
    /// The cluster of each node.
    inside: BTreeMap<String, String>,
    edges: BTreeSet<(String, String)>,
}

/// Words, quoted strings with their escapes undone, and single signs; `->` is one.
fn tokens(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut rest = text.chars().peekable();
    while let Some(c) = rest.next() {
        match c {
            '"' => {
                let mut word = String::from("\"");
                loop {
                    match rest.next().expect("the string ends") {
                        '"' => break,
                        '\\' => match rest.next().expect("something follows") {
                            'n' => word.push('\n'),
                            c => word.push(c),
                        },
                        c => word.push(c),
                    }
                }
                found.push(word);
            }
            '-' => {
                assert_eq!(rest.next(), Some('>'), "edges are directed");
                found.push("->".to_string());
            }
            c if c.is_alphanumeric() || c == '_' => {
                let mut word = String::from(c);
                while let Some(c) = rest.next_if(|c| c.is_alphanumeric() || *c == '_') {
                    word.push(c);
                }
                found.push(word);
            }
            c if c.is_whitespace() => {}
            c => found.push(c.to_string()),
        }
    }
    found
}

fn parsed(text: &str) -> Graph {
    let tokens = tokens(text);
    assert_eq!((tokens[0].as_str(), tokens[2].as_str()), ("digraph", "{"), "{text}");
    let mut graph = Graph::default();
    let (mut k, mut cluster, mut depth) = (3, None, 1);
    while depth > 0 {
        match tokens[k].as_str() {
            "}" => (depth, cluster, k) = (depth - 1, None, k + 1),
            "subgraph" => {
                cluster = Some(tokens[k + 1].trim_start_matches('"').to_string());
                assert_eq!(tokens[k + 2], "{");
                (depth, k) = (depth + 1, k + 3);
            }
            name if name.starts_with('"') && tokens[k + 1] == "->" => {
                assert_eq!(tokens[k + 3], ";");
                graph.edges.insert((name[1..].to_string(), tokens[k + 2][1..].to_string()));
                k += 4;
            }
            name if name.starts_with('"') => {
                assert_eq!(tokens[k + 1], "[");
                let mut attributes = BTreeMap::new();
                k += 2;
                while tokens[k - 1] != "]" {
                    assert_eq!(tokens[k + 1], "=");
                    attributes.insert(tokens[k].clone(), tokens[k + 2].trim_start_matches('"').to_string());
                    k += 4;
                }
                assert_eq!(tokens[k], ";");
                let name = name[1..].to_string();
                graph.inside.insert(name.clone(), cluster.clone().expect("every step stands somewhere"));
                assert!(graph.nodes.insert(name, attributes).is_none(), "each node once");
                k += 1;
            }
            "node" => k += 7,
            _ => {
                // `name=value;` of the graph or a cluster.
                assert_eq!(
                    (tokens[k + 1].as_str(), tokens[k + 3].as_str()),
                    ("=", ";"),
                    "{:?}",
                    &tokens[k..]
                );
                k += 4;
            }
        }
    }
    assert_eq!(k, tokens.len(), "nothing stands behind the graph");
    graph
}

/// The graph says what the JSON says: steps, what they follow, where they stand.
fn assert_says_the_same(graph: &Graph, json: &Value) {
    let order = json["order"].as_array().expect("a list");
    assert_eq!(graph.nodes.len(), order.len());
    let mut edges = 0;
    for row in order {
        let word = |field: &str| row[field].as_str().expect("a word").to_string();
        let task = word("task");
        assert_eq!(graph.nodes[&task]["today"], word("today"));
        assert_eq!(graph.inside[&task], format!("cluster_{}", word("station")));
        assert_eq!(graph.nodes[&task].contains_key("style"), word("station") != word("today"), "{task}");
        assert_eq!(graph.nodes[&task].contains_key("shape"), row["hold"] == true, "{task}");
        for before in row["after"].as_array().expect("a list") {
            let before = before.as_str().expect("a word").to_string();
            assert!(graph.edges.contains(&(before.clone(), task.clone())), "{before} -> {task}");
            edges += 1;
        }
    }
    assert_eq!(graph.edges.len(), edges);
}

#[test]
fn the_order_of_work_is_a_graph_that_other_programs_read() {
    let graph = parsed(&balance("dot"));
    assert_says_the_same(&graph, &json_of(&balance("json")));
    assert_eq!(graph.nodes["cut"]["label"], "cut ]; x -> y; [");
}

#[test]
fn every_plant_has_a_graph_and_a_page_of_its_balance() {
    // The first moves of the pod hall, and the others as they stand: what they are worth is not judged here.
    for (plant, least_gain) in [("first", 0.002), ("pod-hall", 0.05), ("workboats", 1e9), ("heat-pumps", 1e9)]
    {
        let text = text_of(&format!("scenarios/{plant}.line"));
        let read = taktwright::read("f.line", &MapSources::one("f.line", &text), &[]);
        let line = read.layouts.first().expect("shipped lines are sound");
        let goal = Goal { least_gain, ..Goal::new(Aim::Moves) };
        let plan = improve(line, &goal, &|| false).expect("a pace is stated");
        let report = balance_report(line, &plan, &read.map);
        let run = |format: BalanceFormat| render_balance(&report, format, &Dress::PLAIN);
        let json = json_of(&run(BalanceFormat::Json));
        assert_says_the_same(&parsed(&run(BalanceFormat::Dot)), &json);
        let page = run(BalanceFormat::Html);
        assert_is_whole(&page);
        assert!(assert_figures_are_those_of(&page, &json) > 50, "{plant}");
    }
}
