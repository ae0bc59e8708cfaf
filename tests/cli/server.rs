//! `fitwright server`, as a client sees it on the wire: the messages of the Language Server Protocol 3.17, written and read here
//! by hand. A real editor talks to it in `tests/oracles/editor.lua`.

use std::io::{BufRead, BufReader, Read, Write};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::time::Instant;

use serde_json::{Value, json};

use super::{Scratch, top};

/// A client that says what it is told to say.
struct Client {
    child: Child,
    to: ChildStdin,
    from: BufReader<ChildStdout>,
    count: u64,
    /// What came in unasked, and was not waited for yet.
    told: Vec<Value>,
}

const BENCH: &str = r#"procedure bench-lamp "Lamp over a bench"
revision A 2026-01-12
units metric, inch

use std/fasteners
use std/hand-tools

part lamp "Lamp"
part foot-bolt bolt M6 x 20 mm, class 8.8, hex head
kit { box { 1 lamp, 2 foot-bolt } }

joint foot "Foot of the lamp" {
  each   foot-bolt
  count  2
  torque 8 N.m +- 1 N.m
  thread plated
  grip   4 mm
  into   steel 10 mm through
}

section fit "Fit the lamp" {
  step place-lamp "Place the lamp" {
    > Hold the [lamp], Ø12 ±0,5 µm 🔩, over the [foot].
    take 1 lamp
    place foot
    takes 2 min
  }
  step tighten-foot "Tighten the foot" {
    tighten foot with torque-wrench-1-4-drive, socket-10
    takes 2 min
  }
  handover { sign installer }
}
"#;

impl Client {
    fn started() -> Client {
        let mut child = Command::new(env!("CARGO_BIN_EXE_fitwright"))
            .arg("server")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("the server starts");
        let to = child.stdin.take().expect("its input");
        let from = BufReader::new(child.stdout.take().expect("its output"));
        Client { child, to, from, count: 0, told: Vec::new() }
    }

    /// The same, after the two messages with which every conversation begins.
    fn greeted(folder: &str, encodings: &[&str]) -> Client {
        let mut client = Client::started();
        let capabilities = json!({
            "general": {"positionEncodings": encodings},
            "textDocument": {"publishDiagnostics": {"relatedInformation": true}},
            "window": {"workDoneProgress": true},
        });
        let folders = json!([{"uri": folder, "name": "shop"}]);
        let answer = client.ask("initialize", json!({"capabilities": capabilities, "workspaceFolders": folders}));
        assert!(answer["result"]["capabilities"]["hoverProvider"].as_bool().unwrap_or(false), "{answer}");
        client.tell("initialized", json!({}));
        client
    }

    fn frame(&mut self, body: &str) {
        write!(self.to, "Content-Length: {}\r\n\r\n{body}", body.len()).expect("it hears");
        self.to.flush().expect("it hears");
    }

    fn tell(&mut self, method: &str, params: Value) {
        self.frame(&json!({"jsonrpc": "2.0", "method": method, "params": params}).to_string());
    }

    fn read(&mut self) -> Value {
        let mut length = 0;
        loop {
            let mut line = String::new();
            assert!(self.from.read_line(&mut line).expect("it speaks") > 0, "the server has gone");
            match line.trim().split_once(':') {
                Some(("Content-Length", value)) => length = value.trim().parse().expect("a length"),
                Some(_) => {}
                None => break,
            }
        }
        let mut body = vec![0; length];
        self.from.read_exact(&mut body).expect("a whole message");
        serde_json::from_slice(&body).expect("JSON")
    }

    fn ask(&mut self, method: &str, params: Value) -> Value {
        self.count += 1;
        let id = json!(self.count);
        self.frame(&json!({"jsonrpc": "2.0", "id": id, "method": method, "params": params}).to_string());
        loop {
            let message = self.read();
            if message["id"] == id && message.get("method").is_none() {
                return message;
            }
            self.told.push(message);
        }
    }

    /// What is told of a file of this version first.
    fn first(&mut self, uri: &str, version: i64) -> Vec<Value> {
        let is_it = |message: &&Value| is_told(message, uri, version);
        while !self.told.last().as_ref().is_some_and(is_it) {
            let message = self.read();
            self.told.push(message);
        }
        self.told.last().and_then(|told| told["params"]["diagnostics"].as_array()).expect("a list").clone()
    }

    /// What is told of a file of this version, once its proofs are done.
    fn findings(&mut self, uri: &str, version: i64) -> Vec<Value> {
        let is_it = |message: &Value| is_told(message, uri, version);
        while !self.told.iter().any(is_it) {
            let message = self.read();
            self.told.push(message);
        }
        // What was sent with it is here once something else is answered: whether a proof is still running.
        self.ask("workspace/symbol", json!({"query": "no such name"}));
        let progress = |told: &[Value], kind: &str| {
            told.iter().filter(|one| one["method"] == "$/progress" && one["params"]["value"]["kind"] == kind).count()
        };
        while progress(&self.told, "begin") > progress(&self.told, "end") {
            let message = self.read();
            self.told.push(message);
        }
        let found = self.told.iter().rfind(|one| is_it(one)).expect("it was told").clone();
        self.told.retain(|one| !is_it(one));
        found["params"]["diagnostics"].as_array().expect("a list").clone()
    }

    fn open(&mut self, uri: &str, text: &str) {
        let document = json!({"uri": uri, "languageId": "fitwright", "version": 1, "text": text});
        self.tell("textDocument/didOpen", json!({"textDocument": document}));
    }

    fn change(&mut self, uri: &str, version: i64, text: &str) {
        let document = json!({"uri": uri, "version": version});
        self.tell("textDocument/didChange", json!({"textDocument": document, "contentChanges": [{"text": text}]}));
    }

    fn at(&mut self, method: &str, uri: &str, position: &Value, more: &Value) -> Value {
        let mut params = json!({"textDocument": {"uri": uri}, "position": position});
        for (key, value) in more.as_object().into_iter().flatten() {
            params[key] = value.clone();
        }
        self.ask(method, params)
    }

    /// Ends the conversation as the protocol has it; the code with which the server went.
    fn ended(mut self) -> i32 {
        assert_eq!(self.ask("shutdown", Value::Null)["result"], Value::Null);
        self.tell("exit", Value::Null);
        self.child.wait().expect("it goes").code().expect("a code")
    }
}

fn is_told(message: &Value, uri: &str, version: i64) -> bool {
    let of = &message["params"];
    message["method"] == "textDocument/publishDiagnostics" && of["uri"] == uri && of["version"] == version
}

/// The place of a piece of a text, in UTF-16 units; `nth` counts from 0.
fn place(text: &str, piece: &str, nth: usize) -> Value {
    let (offset, _) = text.match_indices(piece).nth(nth).expect("in the text");
    let start = text[..offset].rfind('\n').map_or(0, |at| at + 1);
    json!({"line": text[..offset].matches('\n').count(), "character": text[start..offset].encode_utf16().count()})
}

/// A text with the protocol's edits made, as a client makes them: from the last to the first, in UTF-16 units.
fn edited(text: &str, edits: &Value) -> String {
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    let offset = |position: &Value| {
        let line = position["line"].as_u64().expect("a line") as usize;
        let units: Vec<u16> = lines.get(line).copied().unwrap_or("").encode_utf16().collect();
        let character = position["character"].as_u64().expect("a unit") as usize;
        let before = String::from_utf16(&units[..character]).expect("whole characters");
        lines[..line].iter().map(|line| line.len()).sum::<usize>() + before.len()
    };
    let mut edits: Vec<(usize, usize, &str)> = edits
        .as_array()
        .expect("edits")
        .iter()
        .map(|edit| {
            let text = edit["newText"].as_str().expect("a text");
            (offset(&edit["range"]["start"]), offset(&edit["range"]["end"]), text)
        })
        .collect();
    edits.sort();
    let mut text = text.to_owned();
    for (start, end, new) in edits.into_iter().rev() {
        text.replace_range(start..end, new);
    }
    text
}

fn codes(findings: &[Value]) -> Vec<&str> {
    findings.iter().filter_map(|finding| finding["code"].as_str()).collect()
}

const LAMP: &str = "file:///nowhere/bench%20lamp.fitw";

#[test]
fn findings_follow_the_text_and_go_with_it() {
    let mut client = Client::greeted("file:///nowhere", &[]);
    client.open(LAMP, BENCH);
    assert_eq!(codes(&client.findings(LAMP, 1)), Vec::<&str>::new());
    let strong = BENCH.replace("torque 8 N.m +- 1 N.m", "torque 18 N.m +- 1 N.m");
    client.change(LAMP, 2, &strong);
    let found = client.findings(LAMP, 2);
    let torque = found.iter().find(|one| one["code"] == "FW0705").expect("the torque is told");
    assert_eq!(torque["severity"], 1);
    assert_eq!(torque["range"]["start"], place(&strong, "18 N.m", 0));
    // Behind characters of two, three and four bytes on the same line.
    let misspelt = BENCH.replace("[foot]", "[foott]");
    client.change(LAMP, 3, &misspelt);
    let found = client.findings(LAMP, 3);
    assert_eq!(codes(&found), ["FW0201"]);
    assert_eq!(found[0]["range"]["start"], place(&misspelt, "[foott]", 0));
    client.tell("textDocument/didClose", json!({"textDocument": {"uri": LAMP}}));
    let closed = client
        .ask("textDocument/hover", json!({"textDocument": {"uri": LAMP}, "position": {"line": 0, "character": 0}}));
    assert_eq!(closed["result"], Value::Null);
    let last = client.told.iter().rfind(|one| one["params"]["uri"] == LAMP).expect("the findings are taken back");
    assert_eq!(last["params"]["diagnostics"], json!([]));
    assert_eq!(client.ended(), 0);
}

#[test]
fn positions_are_counted_as_was_agreed() {
    let misspelt = BENCH.replace("[foot]", "[foott]");
    let line = misspelt.lines().find(|line| line.contains("[foott]")).expect("the line");
    let before = line.split("[foott]").next().expect("its beginning");
    let columns =
        [("utf-8", before.len()), ("utf-16", before.encode_utf16().count()), ("utf-32", before.chars().count())];
    for (encoding, column) in columns {
        let mut client = Client::greeted("file:///nowhere", &[encoding, "utf-16"]);
        client.open(LAMP, &misspelt);
        let found = client.findings(LAMP, 1);
        assert_eq!(found[0]["range"]["start"]["character"], column, "{encoding}");
        assert_eq!(client.ended(), 0);
    }
}

#[test]
fn names_are_completed_by_what_the_place_wants() {
    let mut client = Client::greeted("file:///nowhere", &[]);
    client.open(LAMP, BENCH);
    client.findings(LAMP, 1);
    let mut labels = |line: &str, version: i64| -> Vec<String> {
        let text = BENCH.replace("    place foot\n", &format!("    place foot\n    {line}\n"));
        client.change(LAMP, version, &text);
        let at = place(&text, &format!("    {line}\n"), 0);
        let end = 4 + line.encode_utf16().count();
        let at = json!({"line": at["line"], "character": end});
        let answer = client.at("textDocument/completion", LAMP, &at, &Value::Null);
        let mut items = answer["result"]["items"].as_array().expect("a list").clone();
        items.sort_by_key(|item| item["sortText"].as_str().map(str::to_owned));
        items.iter().filter_map(|item| item["label"].as_str()).map(str::to_owned).collect()
    };
    let tools = labels("snug foot with ", 2);
    // M6 has a head of 10 mm across flats (ISO 4014): what goes on it stands first, and no part is among them.
    let fits: Vec<&String> =
        tools.iter().take_while(|tool| tool.contains("10") || tool.contains("adjustable")).collect();
    assert!(fits.iter().any(|tool| *tool == "spanner-10") && fits.iter().any(|tool| *tool == "socket-10"), "{tools:?}");
    assert!(!tools.iter().any(|tool| tool == "lamp"));
    assert_eq!(labels("place fo", 3).first().map(String::as_str), Some("foot"));
    let parts = labels("take 2 ", 4);
    assert!(
        parts.iter().position(|part| part == "foot-bolt") < parts.iter().position(|part| part == "lamp"),
        "{parts:?}"
    );
    assert_eq!(labels("> Look at the [la", 5).first().map(String::as_str), Some("lamp"));
    let units = labels("wait 5 ", 6);
    assert!(units.iter().any(|unit| unit == "min") && !units.iter().any(|unit| unit == "mm"), "{units:?}");
    assert!(labels("", 7).iter().any(|word| word == "tighten"));
    assert_eq!(client.ended(), 0);
}

#[test]
fn a_name_is_told_found_and_changed_everywhere() {
    let scratch = Scratch::new()
        .with("lib/lights.fitw", "library lights \"Lights\"\n\npart lamp \"Lamp\" { mass 1 kg }\n")
        .with("one.fitw", &BENCH.replace("part lamp \"Lamp\"\n", "use lib/lights\n"))
        .with(
            "two.fitw",
            &BENCH.replace("part lamp \"Lamp\"\n", "use lib/lights\n").replace("bench-lamp", "desk-lamp"),
        );
    let uri = |path: &str| format!("file://{}/{path}", scratch.0.canonicalize().expect("a folder").display());
    let text = |path: &str| std::fs::read_to_string(scratch.0.join(path)).expect("a text");
    let mut client = Client::greeted(uri("").trim_end_matches('/'), &[]);
    let (one, lights) = (uri("one.fitw"), uri("lib/lights.fitw"));
    client.open(&one, &text("one.fitw"));
    client.findings(&one, 1);
    let at = place(&text("one.fitw"), "lamp]", 0);
    let declared = client.at("textDocument/definition", &one, &at, &Value::Null);
    assert_eq!(declared["result"]["uri"], lights);
    let hover = client.at("textDocument/hover", &one, &place(&text("one.fitw"), "Hold", 0), &Value::Null);
    let hover = hover["result"].clone();
    assert_eq!(hover, Value::Null, "a word of a sentence is no name");
    let hover = client.at("textDocument/hover", &one, &place(&text("one.fitw"), "foot\n", 0), &Value::Null);
    let words = hover["result"]["contents"]["value"].as_str().expect("words");
    assert!(words.contains("Foot of the lamp") && words.contains("Proof load"), "{words}");
    let all = client.at("textDocument/references", &one, &at, &json!({"context": {"includeDeclaration": true}}));
    let files: std::collections::BTreeSet<&str> =
        all["result"].as_array().expect("a list").iter().filter_map(|one| one["uri"].as_str()).collect();
    assert_eq!(files.len(), 3, "{files:?}");

    let renamed = client.at("textDocument/rename", &one, &at, &json!({"newName": "work-light"}));
    for path in ["one.fitw", "two.fitw", "lib/lights.fitw"] {
        let new = edited(&text(path), &renamed["result"]["changes"][uri(path)]);
        std::fs::write(scratch.0.join(path), new).expect("written");
    }
    scratch.run(&["check", "--deny", "warnings", "one.fitw", "two.fitw"]).expect(0);
    assert!(text("two.fitw").contains("[work-light]") && text("lib/lights.fitw").contains("part work-light"));

    // Names of the file, of the language and of the standard library are refused.
    client.change(&one, 2, &text("one.fitw"));
    client.findings(&one, 2);
    let at = place(&text("one.fitw"), "work-light]", 0);
    for (name, word) in [("foot", "FW02"), ("with", "FW0209"), ("two words", "no name"), ("", "no name")] {
        let refused = client.at("textDocument/rename", &one, &at, &json!({"newName": name}));
        assert!(refused["error"]["message"].as_str().is_some_and(|why| why.contains(word)), "{name}: {refused}");
    }
    let tool = place(&text("one.fitw"), "socket-10", 0);
    let refused = client.at("textDocument/prepareRename", &one, &tool, &Value::Null);
    assert!(refused["error"]["message"].as_str().is_some_and(|why| why.contains("standard library")), "{refused}");
    assert_eq!(client.ended(), 0);
}

/// What one procedure leaves to another has its name in both: a new name goes to both, from wherever it is given.
#[test]
fn what_is_left_for_later_is_renamed_on_both_sides() {
    let demo = |path: &str| {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("procedures/bench").join(path);
        std::fs::read_to_string(path).expect("the demo")
    };
    let (panel, fit, lib) = (demo("kestrel-panel.fitw"), demo("kestrel-panel-fit.fitw"), demo("lib/panel.fitw"));
    // The same without a library: each has its own circuits, tied by their names alone.
    let circuits = lib.split_once('\n').expect("lines").1;
    let there = circuits
        .replace("leaves van-end to kestrel-panel-fit", "on vehicle but van-end")
        .replace("leaves dimmer-out to kestrel-panel-fit", "on vehicle but dimmer-out");
    let alone = |text: &str, own: &str| format!("{}\n{own}", text.replace("use lib/panel\n", ""));
    type Texts<'t> = &'t [(&'t str, &'t str)];
    let shared = [("kestrel-panel.fitw", &*panel), ("kestrel-panel-fit.fitw", &fit), ("lib/panel.fitw", &lib)];
    // Only in the van is the battery's lead taken off.
    let here = circuits.find("circuit ").and_then(|at| circuits.get(at..)).expect("a circuit");
    let (own, others) = (alone(&panel, here), alone(&fit, &there));
    let apart = [("kestrel-panel.fitw", &*own), ("kestrel-panel-fit.fitw", &others)];
    let cases: [(Texts<'_>, &str, &str, &str, usize); 7] = [
        (&shared, "kestrel-panel.fitw", "panel-feed of", "panel-feed", 4),
        (&shared, "kestrel-panel-fit.fitw", "panel-feed \"", "panel-feed", 4),
        (&shared, "lib/panel.fitw", "van-end   \"", "van-end", 3),
        (&apart, "kestrel-panel.fitw", "panel-feed of", "panel-feed", 4),
        (&apart, "kestrel-panel.fitw", "van-end   \"", "van-end", 4),
        (&apart, "kestrel-panel-fit.fitw", "van-end   \"", "van-end", 4),
        (&apart, "kestrel-panel-fit.fitw", "switch-lead \"", "switch-lead", 4),
    ];
    for (files, from, at, name, least) in cases {
        let scratch = files.iter().fold(Scratch::new(), |scratch, (path, text)| scratch.with(path, text));
        scratch.run(&["check", "--deny", "warnings", "."]).expect(0);
        let folder = scratch.0.canonicalize().expect("a folder");
        let uri = |path: &str| format!("file://{}/{path}", folder.display());
        let text = |path: &str| std::fs::read_to_string(folder.join(path)).expect("a text");
        let mut client = Client::greeted(uri("").trim_end_matches('/'), &[]);
        client.open(&uri(from), &text(from));
        client.findings(&uri(from), 1);
        let place = place(&text(from), at, 0);
        let told = client.at("textDocument/prepareRename", &uri(from), &place, &Value::Null);
        assert_eq!(told["result"]["placeholder"], name, "{from}: {told}");
        let renamed = client.at("textDocument/rename", &uri(from), &place, &json!({"newName": "other-name"}));
        let changes = renamed["result"]["changes"].as_object().unwrap_or_else(|| panic!("{from}, {at}: {renamed}"));
        assert!(changes.values().filter_map(Value::as_array).map(Vec::len).sum::<usize>() >= least, "{changes:?}");
        // A name that the other side has already is refused.
        let taken = if name == "van-end" { "panel-end" } else { "dimmer-lead" };
        let refused = client.at("textDocument/rename", &uri(from), &place, &json!({"newName": taken}));
        assert!(refused["error"]["message"].as_str().is_some_and(|why| why.contains("FW0")), "{from}, {at}: {refused}");
        for (path, _) in files {
            if let Some(edits) = changes.get(&uri(path)) {
                std::fs::write(folder.join(path), edited(&text(path), edits)).expect("written");
            }
            let after = text(path);
            let words = after.split(|c: char| !c.is_alphanumeric() && c != '-');
            assert!(words.clone().all(|word| word != name), "{from}, {at}: `{name}` is left in {path}");
        }
        scratch.run(&["check", "--deny", "warnings", "."]).expect(0);
        assert_eq!(client.ended(), 0);
    }
}

#[test]
fn what_changes_in_a_library_is_told_of_those_that_use_it() {
    let scratch = Scratch::new()
        .with("lib/lights.fitw", "library lights \"Lights\"\n\npart lamp \"Lamp\"\n")
        .with("one.fitw", &BENCH.replace("part lamp \"Lamp\"\n", "use lib/lights\n"));
    let folder = scratch.0.canonicalize().expect("a folder");
    let uri = |path: &str| format!("file://{}/{path}", folder.display());
    let mut client = Client::greeted(&uri(""), &[]);
    let (one, lights) = (uri("one.fitw"), uri("lib/lights.fitw"));
    client.open(&one, &std::fs::read_to_string(folder.join("one.fitw")).expect("a text"));
    assert_eq!(codes(&client.findings(&one, 1)), Vec::<&str>::new());
    // Not saved: what stands in the editor counts.
    client.open(&lights, "library lights \"Lights\"\n\npart torch \"Torch\"\n");
    assert!(codes(&client.findings(&one, 1)).contains(&"FW0201"));
    client.change(&lights, 2, "library lights \"Lights\"\n\npart lamp \"Lamp\"\n");
    assert_eq!(codes(&client.findings(&one, 1)), Vec::<&str>::new());
    // Closed without being saved, after a change: the file counts again.
    client.change(&lights, 3, "library lights \"Lights\"\n");
    assert!(codes(&client.findings(&one, 1)).contains(&"FW0201"));
    client.tell("textDocument/didClose", json!({"textDocument": {"uri": lights}}));
    assert_eq!(codes(&client.findings(&one, 1)), Vec::<&str>::new());
    assert_eq!(client.ended(), 0);
}

#[test]
fn the_text_is_set_in_its_form_and_coloured() {
    let mut client = Client::greeted("file:///nowhere", &[]);
    let loose = BENCH.replace("  count  2\n", "      count 2\n").replace("    take 1 lamp\n", "   take   1 lamp\n");
    client.open(LAMP, &loose);
    client.findings(LAMP, 1);
    let options = json!({"options": {"tabSize": 2, "insertSpaces": true}});
    let edits = client.at("textDocument/formatting", LAMP, &json!(null), &options);
    assert_eq!(edited(&loose, &edits["result"]), fitwright::format::format(&loose).expect("it can be read"));
    client.change(LAMP, 2, &format!("{BENCH}torque {{\n"));
    let refused = client.at("textDocument/formatting", LAMP, &json!(null), &options);
    assert!(refused["error"]["message"].as_str().is_some_and(|why| why.contains("cannot be read")), "{refused}");

    client.change(LAMP, 3, BENCH);
    let data = client.at("textDocument/semanticTokens/full", LAMP, &json!(null), &Value::Null);
    let data: Vec<u64> = data["result"]["data"].as_array().expect("numbers").iter().filter_map(Value::as_u64).collect();
    let lines: Vec<Vec<u16>> = BENCH.lines().map(|line| line.encode_utf16().collect()).collect();
    let (mut line, mut character) = (0, 0);
    let mut words: Vec<(String, u64)> = Vec::new();
    for token in data.chunks(5) {
        line += token[0] as usize;
        character = if token[0] == 0 { character + token[1] as usize } else { token[1] as usize };
        let word =
            String::from_utf16(&lines[line][character..character + token[2] as usize]).expect("whole characters");
        words.push((word, token[3]));
    }
    let shade =
        |word: &str| words.iter().filter(|(other, _)| other == word).map(|(_, shade)| *shade).collect::<Vec<_>>();
    assert_eq!(shade("procedure"), [0]);
    assert_eq!(shade("socket-10"), [2]);
    assert_eq!(shade("lamp"), [1, 3, 3, 3], "declared, in the kit, in a sentence, taken");
    assert_eq!(shade("N.m"), [10, 10]);
    assert_eq!(client.ended(), 0);
}

#[test]
fn hostile_clients_end_nothing() {
    let mut client = Client::started();
    client.frame("{nonsense");
    assert_eq!(client.read()["error"]["code"], -32700);
    let early = client.ask("textDocument/hover", json!({}));
    assert_eq!(early["error"]["code"], -32002);
    client.ask("initialize", json!({"capabilities": []}));
    assert_eq!(client.ask("initialize", json!({}))["error"]["code"], -32600);
    assert_eq!(client.ask("textDocument/teleport", json!({}))["error"]["code"], -32601);
    assert_eq!(client.ask("textDocument/hover", json!([1]))["error"]["code"], -32602);
    client.tell("textDocument/didOpen", json!({"textDocument": 7}));
    client.tell("textDocument/didChange", json!({"textDocument": {"uri": LAMP, "version": 9}, "contentChanges": []}));
    client.tell("$/setTrace", json!({"value": "off"}));
    // A text without a file, one that no text can be, places beyond everything.
    client.open("untitled:Untitled-1", BENCH);
    assert_eq!(client.findings("untitled:Untitled-1", 1), Vec::<Value>::new());
    let hostile = format!("\u{feff}{}{}", "{".repeat(5000), "🔩".repeat(99));
    client.open(LAMP, &hostile);
    assert!(!client.findings(LAMP, 1).is_empty());
    let methods = [
        "textDocument/hover",
        "textDocument/completion",
        "textDocument/definition",
        "textDocument/prepareRename",
        "textDocument/documentHighlight",
        "textDocument/documentSymbol",
        "textDocument/foldingRange",
        "textDocument/documentLink",
        "textDocument/semanticTokens/full",
    ];
    for position in
        [json!({"line": 0, "character": 0}), json!({"line": 4_000_000_000_u32, "character": 4_000_000_000_u32})]
    {
        for method in methods {
            for uri in [LAMP, "untitled:Untitled-1", "file:///never/opened.fitw"] {
                let answer = client.at(method, uri, &position, &Value::Null);
                assert!(answer.get("error").is_none_or(|error| error["code"] == -32803), "{method}: {answer}");
            }
        }
    }
    // Called off before it is looked at, or answered: both are an answer.
    client.tell("$/cancelRequest", json!({"id": "never asked"}));
    assert_eq!(client.ended(), 0);
    // Who just goes away is followed.
    let client = Client::greeted("file:///nowhere", &[]);
    let Client { mut child, to, from, .. } = client;
    drop((to, from));
    assert_eq!(child.wait().expect("it goes").code(), Some(1));
}

/// The faulty procedures of the demos: what the editor is told is what the command line says.
#[test]
fn an_editor_is_told_what_the_command_line_says() {
    let folder = top().join("procedures/faulty");
    let mut client = Client::greeted(&format!("file://{}", folder.display()), &[]);
    let mut files: Vec<_> =
        std::fs::read_dir(&folder).expect("a folder").map(|entry| entry.expect("an entry").path()).collect();
    files.retain(|path| path.extension().is_some_and(|ending| ending == "fitw"));
    files.sort();
    assert!(files.len() > 5);
    for path in files {
        let uri = format!("file://{}", path.canonicalize().expect("a file").display());
        client.open(&uri, &std::fs::read_to_string(&path).expect("a text"));
        let told = client.findings(&uri, 1);
        let ran = Command::new(env!("CARGO_BIN_EXE_fitwright"))
            .args(["check", "--format", "json"])
            .arg(&path)
            .output()
            .expect("it runs");
        let said: Vec<Value> = String::from_utf8_lossy(&ran.stdout)
            .lines()
            .map(|line| serde_json::from_str(line).expect("JSON"))
            .collect();
        // What is told of a library stands there.
        let file = path.file_name().expect("a name").to_string_lossy().into_owned();
        let is_its = |one: &&Value| one["file"].as_str().is_some_and(|name| name.ends_with(&file));
        let key = |code: &Value, line: u64| (code.as_str().map(str::to_owned), line);
        let mut said: Vec<_> =
            said.iter().filter(is_its).map(|one| key(&one["code"], one["line"].as_u64().unwrap_or(1) - 1)).collect();
        let mut told: Vec<_> =
            told.iter().map(|one| key(&one["code"], one["range"]["start"]["line"].as_u64().expect("a line"))).collect();
        said.sort();
        told.sort();
        assert_eq!(told, said, "{}", path.display());
    }
    assert_eq!(client.ended(), 0);
}

/// An editor that asks at once, before anything was told of the text, gets what there is to repair, and not nothing.
#[test]
fn who_asks_for_repairs_at_once_gets_them() {
    let mut client = Client::greeted("file:///nowhere", &[]);
    let misspelt = BENCH.replace("place foot\n", "place foott\n");
    client.open(LAMP, &misspelt);
    let at = place(&misspelt, "foott", 0);
    let params = json!({
        "textDocument": {"uri": LAMP}, "range": {"start": at, "end": at}, "context": {"diagnostics": []},
    });
    let answer = client.ask("textDocument/codeAction", params.clone());
    let titles = |answer: &Value| -> Vec<String> {
        answer["result"].as_array().into_iter().flatten().map(|one| one["title"].to_string()).collect()
    };
    assert!(titles(&answer).iter().any(|title| title.contains("foot")), "{answer}");
    // One that waits is called off like any other, and what is not open has no repairs.
    client.change(LAMP, 2, &misspelt);
    client.count += 1;
    let id = client.count;
    let asked = json!({"jsonrpc": "2.0", "id": id, "method": "textDocument/codeAction", "params": params});
    client.frame(&asked.to_string());
    client.tell("$/cancelRequest", json!({"id": id}));
    loop {
        let message = client.read();
        if message["id"] == id && message.get("method").is_none() {
            assert!(message["error"]["code"] == -32800 || !titles(&message).is_empty(), "{message}");
            break;
        }
    }
    let elsewhere = json!({
        "textDocument": {"uri": "file:///nowhere/else.fitw"}, "range": {"start": at, "end": at}, "context": {"diagnostics": []},
    });
    assert_eq!(client.ask("textDocument/codeAction", elsewhere)["result"], Value::Null);
    assert_eq!(client.ended(), 0);
}

/// A procedure of many joints, whose proof takes a while.
fn long() -> String {
    let (head, rest) = BENCH.split_once("joint foot").expect("the joint");
    let (joint, section) = rest.split_once("section fit").expect("the section");
    let (steps, handover) = section.split_once("  handover").expect("the handover");
    let many = 1500;
    let head =
        head.replace("2 foot-bolt", &format!("{} foot-bolt", 2 * many)).replace("1 lamp", &format!("{many} lamp"));
    let of = |text: &str, n: usize| {
        let named = text.replace("of the lamp", &format!("of lamp {n}")).replace("the lamp\"", &format!("lamp {n}\""));
        ["foot", "place-lamp", "tighten-foot", "fit"].iter().fold(named, |text, name| {
            let text = text.replace(&format!(" {name} "), &format!(" {name}-{n} "));
            text.replace(&format!(" {name}\n"), &format!(" {name}-{n}\n"))
                .replace(&format!("[{name}]"), &format!("[{name}-{n}]"))
        })
    };
    let mut text = head;
    for n in 1..=many {
        text.push_str(&of(
            &format!("joint foot{joint}section fit{}", steps.replace("Tighten the foot", &format!("Tighten foot {n}"))),
            n,
        ));
        if n < many {
            text.push_str("}\n");
        }
    }
    text + "  handover" + handover
}

/// Who types on while a proof runs hears of the new text at once: the proof of the old one is not waited for.
#[test]
fn a_proof_that_runs_holds_nobody_up() {
    let text = long();
    // Other work on the machine may hold up either; a server that waits for the proof is never in time.
    let in_time = (0..4).any(|_| {
        let mut client = Client::greeted("file:///nowhere", &["utf-8"]);
        let began = Instant::now();
        client.open(LAMP, &text);
        assert_eq!(codes(&client.findings(LAMP, 1)), Vec::<&str>::new());
        let whole = began.elapsed();
        let before = client.told.len();
        client.change(LAMP, 2, &(text.clone() + "# so it is proved anew\n"));
        let begins = |said: &Value| said["method"] == "$/progress" && said["params"]["value"]["kind"] == "begin";
        client.first(LAMP, 2);
        // What is said of the proof is said before this is answered. Where it was done by then, nothing is said.
        client
            .ask("textDocument/hover", json!({"textDocument": {"uri": LAMP}, "position": {"line": 0, "character": 0}}));
        if !client.told[before..].iter().any(begins) {
            return false;
        }
        let began = Instant::now();
        client.change(LAMP, 3, &BENCH.replace("[foot]", "[foott]"));
        let found = client.first(LAMP, 3);
        let short = began.elapsed();
        assert_eq!(codes(&found), ["FW0201"]);
        assert_eq!(codes(&client.findings(LAMP, 3)), ["FW0201"]);
        short * 2 < whole
    });
    assert!(in_time, "the text's faults came when the proof was done");
}
