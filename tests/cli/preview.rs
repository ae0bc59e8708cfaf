//! `fitwright preview`, as a client sees it on the wire: requests written and read here by hand (RFC 9112), good ones and hostile
//! ones. A real browser looks at the page in `tests/oracles/preview.cjs`.

use std::fs;
use std::io::{BufRead, BufReader, ErrorKind, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Stdio};
use std::time::{Duration, Instant};

use serde_json::Value;

use super::{Scratch, clean, faulty, with_warning};

/// A preview that runs until the test ends.
struct Preview {
    child: Child,
    port: u16,
    scratch: Scratch,
}

impl Drop for Preview {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Preview {
    fn of(text: &str) -> Preview {
        let scratch = Scratch::new().with("coat-hook.fitw", text);
        let mut command = scratch.command(&["preview", "coat-hook.fitw"]);
        let mut child = command.stdout(Stdio::piped()).stderr(Stdio::inherit()).spawn().expect("it starts");
        let mut line = String::new();
        BufReader::new(child.stdout.take().expect("its output")).read_line(&mut line).expect("a line");
        let address = line.split_whitespace().find(|word| word.starts_with("http://127.0.0.1:")).expect("an address");
        let port = address.trim_end_matches('/').rsplit(':').next().expect("a port").parse().expect("a number");
        Preview { child, port, scratch }
    }

    fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(("127.0.0.1", self.port)).expect("it listens");
        stream.set_read_timeout(Some(Duration::from_secs(60))).expect("a bound");
        stream
    }

    /// What comes back for these bytes: status, head, content. An empty status where the connection was ended without a word.
    fn sent(&self, bytes: &[u8]) -> (String, String, Vec<u8>) {
        let mut stream = self.connect();
        // It may have answered before everything was said.
        let _ = stream.write_all(bytes);
        let mut answer = Vec::new();
        match stream.read_to_end(&mut answer) {
            Ok(_) => {}
            Err(error) if error.kind() == ErrorKind::ConnectionReset => {}
            Err(error) => panic!("{error}"),
        }
        let end = answer.windows(4).position(|four| four == b"\r\n\r\n").map_or(answer.len(), |at| at + 4);
        let head = String::from_utf8(answer[..end].to_vec()).expect("a head");
        let status = head.split(' ').nth(1).unwrap_or_default().to_owned();
        (status, head, answer[end..].to_vec())
    }

    fn get(&self, target: &str) -> (String, String, Vec<u8>) {
        self.sent(format!("GET {target} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n\r\n", self.port).as_bytes())
    }

    fn text(&self, target: &str) -> String {
        let (status, _, content) = self.get(target);
        assert_eq!(status, "200", "{target}");
        String::from_utf8(content).expect("UTF-8")
    }

    /// The state when it is as is asked for.
    fn state(&self, is_wanted: impl Fn(&Value) -> bool) -> Value {
        let end = Instant::now() + Duration::from_secs(60);
        let mut target = "/state".to_owned();
        loop {
            let state: Value = serde_json::from_str(&self.text(&target)).expect("JSON");
            if is_wanted(&state) {
                return state;
            }
            assert!(Instant::now() < end, "still {state}");
            target = format!("/state?has={}", state["number"].as_str().expect("a number"));
        }
    }

    fn save(&self, text: &str) {
        fs::write(self.scratch.0.join("coat-hook.fitw"), text).expect("saved");
    }
}

fn is_proved(state: &Value) -> bool {
    state["stage"] == "proved"
}

fn codes(state: &Value) -> Vec<&str> {
    state["findings"].as_array().expect("findings").iter().map(|one| one["code"].as_str().expect("a code")).collect()
}

#[test]
fn a_save_is_seen_and_the_last_good_manual_stays() {
    let preview = Preview::of(&clean());
    let state = preview.state(is_proved);
    assert_eq!((codes(&state), &state["is_current"]), (vec![], &Value::Bool(true)));
    assert!(state["last_words"].as_str().expect("words").starts_with("1 file, no findings."), "{state}");
    assert!(preview.text("/out/manual.html").contains("Place the hook"));

    preview.save(&faulty());
    let state = preview.state(|state| is_proved(state) && !codes(state).is_empty());
    assert_eq!((codes(&state), &state["is_current"]), (vec!["FW0603"], &Value::Bool(false)));
    // The same words as on a terminal.
    let ran = preview.scratch.run(&["check", "coat-hook.fitw"]).expect(1);
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let finding = &state["findings"][0];
    let told = finding["told"].as_array().expect("paragraphs").iter().map(|pair| &pair[1]);
    for words in told.chain([&finding["message"], &state["last_words"]]) {
        let words = flat(words.as_str().expect("words"));
        assert!(!words.is_empty() && flat(&ran.out).contains(&words), "{words}\nis not in\n{}", ran.out);
    }
    assert!(finding["lines"].as_str().expect("lines").contains("coat-hook.fitw:"), "{finding}");
    assert!(preview.text("/out/manual.html").contains("Place the hook"), "the last good one");

    preview.save(&with_warning().replace("Place the hook", "Set the hook"));
    let state = preview.state(|state| is_proved(state) && state["is_current"] == true);
    assert!(!codes(&state).is_empty() && !codes(&state).contains(&"FW0603"), "{state}");
    assert!(preview.text("/out/manual.html").contains("Set the hook"));
}

#[test]
fn a_library_that_was_missing_is_seen_when_it_comes() {
    let text = clean().replace("use std/hand-tools\n", "use std/hand-tools\nuse lib/ours\n");
    let preview = Preview::of(&text);
    let state = preview.state(is_proved);
    assert!(codes(&state).contains(&"FW0205") || !codes(&state).is_empty(), "{state}");
    assert_eq!(preview.get("/out/manual.html").0, "404");
    let ours = "library ours \"Ours\"\n\npart peg \"Peg\"\n";
    fs::create_dir(preview.scratch.0.join("lib")).expect("made");
    fs::write(preview.scratch.0.join("lib/ours.fitw"), ours).expect("saved");
    let state = preview.state(|state| is_proved(state) && state["is_current"] == true);
    assert_eq!(preview.get("/out/manual.html").0, "200", "{state}");
}

/// What is served is what a build writes, byte for byte.
#[test]
fn the_files_are_those_of_a_build() {
    let preview = Preview::of(&clean());
    preview.state(is_proved);
    preview.scratch.run(&["build", "--annex", "coat-hook.fitw"]).expect(0);
    let built = preview.scratch.files("out/coat-hook");
    let names: Vec<String> = serde_json::from_str(&preview.text("/made")).expect("names");
    assert_eq!(names.len(), built.len());
    for name in names {
        let (status, _, content) = preview.get(&format!("/out/{name}"));
        assert_eq!((status.as_str(), &content), ("200", &built[&format!("out/coat-hook/{name}")]), "{name}");
    }
    let (status, _, words) = preview.get("/made?with=arm%3Dpowered");
    let ran = preview.scratch.run(&["build", "--with", "arm=powered", "coat-hook.fitw"]).expect(2);
    assert_eq!((status.as_str(), format!("fitwright: {}", String::from_utf8_lossy(&words))), ("409", ran.err));
}

#[test]
fn no_request_reaches_a_file_by_its_name() {
    let preview = Preview::of(&clean());
    preview.state(is_proved);
    fs::write(preview.scratch.0.join("secret.txt"), "secret").expect("written");
    for target in [
        "/coat-hook.fitw",
        "/secret.txt",
        "/out/../secret.txt",
        "/out/..%2fsecret.txt",
        "/out//etc/passwd",
        "/out/%2e%2e/secret.txt",
        "/../../../../etc/passwd",
        "/out/",
        "//",
        "/state/",
    ] {
        let (status, _, content) = preview.get(target);
        assert_eq!(status, "404", "{target}");
        assert!(!String::from_utf8_lossy(&content).contains("secret"), "{target}");
    }
}

#[test]
fn only_this_machine_and_its_own_pages_are_answered() {
    let preview = Preview::of(&clean());
    let port = preview.port;
    let own = format!("127.0.0.1:{port}");
    let (status, head, page) = preview.get("/");
    assert_eq!(status, "200");
    assert!(head.contains("\r\nContent-Security-Policy: default-src 'none';") && head.contains("nosniff"), "{head}");
    assert!(!page.is_empty());
    let (status, head, page) = preview.sent(format!("HEAD / HTTP/1.1\r\nHost: {own}\r\n\r\n").as_bytes());
    assert_eq!((status.as_str(), page.len()), ("200", 0));
    assert!(head.contains("Content-Length: "));
    let foreign = [
        "GET / HTTP/1.1\r\nHost: shop.example\r\n\r\n".to_owned(),
        format!("GET / HTTP/1.1\r\nHost: shop.example:{port}\r\n\r\n"),
        "GET / HTTP/1.1\r\n\r\n".to_owned(),
        format!("GET /state HTTP/1.1\r\nHost: {own}\r\nOrigin: http://shop.example\r\n\r\n"),
        format!("GET /state HTTP/1.1\r\nHost: {own}\r\nOrigin: null\r\n\r\n"),
        format!("GET /out/manual.html HTTP/1.1\r\nHost: {own}\r\nSec-Fetch-Site: cross-site\r\n\r\n"),
        format!("GET / HTTP/1.1\r\nHost: {own}\r\nSec-Fetch-Site: same-site\r\n\r\n"),
    ];
    for request in foreign {
        let (status, _, words) = preview.sent(request.as_bytes());
        assert_eq!(status, "403", "{request}");
        assert!(String::from_utf8_lossy(&words).trim_end().ends_with('.'), "a sentence");
    }
    for method in ["POST", "PUT", "OPTIONS", "CONNECT", "DELETE"] {
        let (status, head, _) = preview.sent(format!("{method} / HTTP/1.1\r\nHost: {own}\r\n\r\n").as_bytes());
        assert!(status == "405" && head.contains("\r\nAllow: GET, HEAD\r\n"), "{method}: {head}");
    }
    // On no address but the loopback: a second listener may have the same port on another one.
    if let Ok(other) = std::net::TcpListener::bind(("127.0.0.2", port)) {
        assert_eq!(other.local_addr().expect("an address").port(), port);
    } else if cfg!(target_os = "linux") {
        panic!("the port is taken on 127.0.0.2 too");
    }
}

#[test]
fn hostile_clients_are_cut_off_and_others_are_served() {
    let preview = Preview::of(&clean());
    preview.state(is_proved);
    let own = format!("127.0.0.1:{}", preview.port);
    let long = "x".repeat(100_000);
    for request in [
        format!("GET /{long} HTTP/1.1\r\nHost: {own}\r\n\r\n"),
        format!("GET / HTTP/1.1\r\nHost: {own}\r\nX: {long}\r\n\r\n"),
        format!("GET / HTTP/1.1\r\nHost: {own}\r\n{}\r\n", "X: y\r\n".repeat(500)),
    ] {
        let (status, _, _) = preview.sent(request.as_bytes());
        assert!(status == "431" || status.is_empty(), "{status}");
    }
    for request in ["\r\n\r\n", "\0\0\0\0\r\n\r\n", "GET\r\n\r\n", "GET / HTTP/9.9\r\n\r\n", "\u{fffd}\r\n\r\n"] {
        let (status, _, _) = preview.sent(request.as_bytes());
        assert!(status == "400" || status.is_empty(), "{request:?}: {status}");
    }
    // More connections than there are places, each a byte in a while: none is kept longer than five seconds.
    let began = Instant::now();
    let mut slow: Vec<TcpStream> = (0..100).map(|_| preview.connect()).collect();
    while began.elapsed() < Duration::from_secs(4) {
        slow.iter_mut().for_each(|stream| drop(stream.write_all(b"G")));
        std::thread::sleep(Duration::from_millis(500));
    }
    // While they hold all places a request may be turned away; not for long.
    let served = || {
        let mut stream = preview.connect();
        let _ = stream.write_all(format!("GET / HTTP/1.1\r\nHost: {own}\r\n\r\n").as_bytes());
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        answer.starts_with(b"HTTP/1.1 200 ")
    };
    while !served() {
        assert!(began.elapsed() < Duration::from_secs(30), "nobody is served any more");
        std::thread::sleep(Duration::from_millis(200));
    }
    for stream in &mut slow {
        stream.set_read_timeout(Some(Duration::from_secs(20))).expect("a bound");
        let mut rest = Vec::new();
        let ended = stream.read_to_end(&mut rest);
        assert!(ended.is_ok() || ended.is_err_and(|error| error.kind() == ErrorKind::ConnectionReset), "kept open");
        assert!(rest.is_empty());
    }
    // Who asks for much and takes nothing holds nobody up.
    let mut lazy: Vec<TcpStream> = (0..20).map(|_| preview.connect()).collect();
    for stream in &mut lazy {
        stream.write_all(format!("GET /out/manual.html HTTP/1.1\r\nHost: {own}\r\n\r\n").as_bytes()).expect("asked");
    }
    assert!(preview.text("/out/manual.html").contains("Place the hook"));
}

#[test]
fn what_cannot_be_previewed_is_said() {
    let scratch = Scratch::new().with("a.fitw", &clean()).with("b.fitw", &clean());
    let ran = scratch.run(&["preview", "."]).expect(2);
    assert_eq!(ran.err, "fitwright: . holds 2 files; name one of them: a.fitw, b.fitw\n");
    scratch.run(&["preview", "gone.fitw"]).expect(2);
    let taken = std::net::TcpListener::bind(("127.0.0.1", 0)).expect("a port");
    let port = taken.local_addr().expect("an address").port().to_string();
    let ran = scratch.run(&["preview", "--port", &port, "a.fitw"]).expect(2);
    assert!(ran.err.contains(&format!("port {port} cannot be opened: ")), "{}", ran.err);
}
