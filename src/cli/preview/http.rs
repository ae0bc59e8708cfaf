//! Requests of a browser on this machine, and of nobody else.
//!
//! A page of any site may make its visitor's browser ask `127.0.0.1`, and a name of its own may lead there. So a request has to
//! name this address as its `Host` (RFC 9110, 7.2), and where the browser says who asks (`Origin`, RFC 6454; `Sec-Fetch-Site`,
//! W3C Fetch Metadata) it has to be a page of ours or the person. Each connection carries one request without a body, and is
//! bounded in bytes and time; their number is bounded.

use std::io::{ErrorKind, Read, Write};
use std::net::{Ipv4Addr, Shutdown, TcpListener, TcpStream};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;
use std::time::{Duration, Instant};

/// So many connections are open at a time; one more is closed as it comes.
const MOST_CONNECTIONS: usize = 64;
/// The head of a request may have so many bytes. What a browser sends has below two thousand.
const LARGEST_HEAD: usize = 8 * 1024;
/// And so many fields.
const MOST_FIELDS: usize = 64;
/// A head has to arrive within this time.
const TIME_TO_ASK: Duration = Duration::from_secs(5);
/// An answer has to be taken within this time.
const TIME_TO_TAKE: Duration = Duration::from_secs(20);
/// How long a connection is kept after the answer, so that it arrives before the end does.
const TIME_TO_LEAVE: Duration = Duration::from_millis(300);
/// Bytes that are written before the clock is asked again.
const PORTION: usize = 64 * 1024;

/// What is asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Request {
    /// The path, as it was sent.
    pub path: String,
    /// Names and values behind the question mark.
    pub query: Vec<(String, String)>,
}

impl Request {
    /// The first value of a name.
    pub fn value(&self, name: &str) -> Option<&str> {
        self.query.iter().find(|(of, _)| of == name).map(|(_, value)| value.as_str())
    }
}

/// What is answered.
#[derive(Debug, Clone)]
pub struct Response {
    /// The status code.
    pub status: u16,
    /// The media type.
    pub media: &'static str,
    /// The Content-Security-Policy.
    pub policy: &'static str,
    /// The content.
    pub body: Vec<u8>,
}

/// The policy of what is only read.
pub const NOTHING_RUNS: &str = "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

impl Response {
    /// A sentence.
    pub fn sentence(status: u16, words: &str) -> Response {
        let body = format!("{words}\n").into_bytes();
        Response { status, media: "text/plain; charset=utf-8", policy: NOTHING_RUNS, body }
    }
}

/// Opens the port on the loopback address; 0 is any that is free.
///
/// # Errors
/// Where the system does not give it.
pub fn open(port: u16) -> std::io::Result<(TcpListener, u16)> {
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port))?;
    let port = listener.local_addr()?.port();
    Ok((listener, port))
}

/// Answers until the program ends.
pub fn serve(listener: &TcpListener, port: u16, answer: impl Fn(&Request) -> Response + Send + Sync + 'static) {
    let answer = Arc::new(answer);
    let open = Arc::new(AtomicUsize::new(0));
    loop {
        let Ok((stream, _)) = listener.accept() else {
            // Out of handles, for a moment.
            thread::sleep(Duration::from_millis(100));
            continue;
        };
        let place = Place::of(&open);
        let Some(place) = place else { continue };
        let answer = Arc::clone(&answer);
        // Where no thread can be had, the connection is closed, and its place is free again.
        let _ = thread::Builder::new().spawn(move || {
            let _place = place;
            let _ = converse(stream, port, answer.as_ref());
        });
    }
}

/// One of the places for connections, free again when it is dropped.
struct Place(Arc<AtomicUsize>);

impl Place {
    fn of(open: &Arc<AtomicUsize>) -> Option<Place> {
        let taken = open.fetch_add(1, Ordering::SeqCst);
        let place = Place(Arc::clone(open));
        (taken < MOST_CONNECTIONS).then_some(place)
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::SeqCst);
    }
}

fn converse(mut stream: TcpStream, port: u16, answer: &dyn Fn(&Request) -> Response) -> std::io::Result<()> {
    let (response, is_head) = match head(&mut stream)? {
        Some(bytes) => match read(&bytes, port) {
            Ok((request, is_head)) => (answer(&request), is_head),
            Err(refusal) => (refusal, false),
        },
        None => (Response::sentence(431, "The head of this request is too large."), false),
    };
    send(&mut stream, &response, is_head)?;
    leave(&mut stream)
}

/// The bytes up to the empty line; `None` where there are too many.
fn head(stream: &mut TcpStream) -> std::io::Result<Option<Vec<u8>>> {
    let end = Instant::now() + TIME_TO_ASK;
    let mut bytes = Vec::new();
    let mut portion = [0; 2048];
    loop {
        stream.set_read_timeout(Some(left(end)?))?;
        let count = match stream.read(&mut portion) {
            Ok(0) => return Err(ErrorKind::UnexpectedEof.into()),
            Ok(count) => count,
            Err(error) if error.kind() == ErrorKind::Interrupted => continue,
            Err(error) => return Err(error),
        };
        let from = bytes.len().saturating_sub(3);
        bytes.extend(portion.iter().take(count));
        let recent = bytes.get(from..).unwrap_or_default();
        if recent.windows(4).any(|four| four == b"\r\n\r\n") {
            return Ok((bytes.len() <= LARGEST_HEAD).then_some(bytes));
        }
        if bytes.len() > LARGEST_HEAD {
            return Ok(None);
        }
    }
}

/// The time until then; an error where it is past.
fn left(end: Instant) -> std::io::Result<Duration> {
    let left = end.saturating_duration_since(Instant::now());
    if left.is_zero() { Err(ErrorKind::TimedOut.into()) } else { Ok(left) }
}

/// Reads the head of a request, and whether only the head of the answer is asked for.
fn read(bytes: &[u8], port: u16) -> Result<(Request, bool), Response> {
    let refuse = |status, words: &str| Err(Response::sentence(status, words));
    let mut fields = [httparse::EMPTY_HEADER; MOST_FIELDS];
    let mut head = httparse::Request::new(&mut fields);
    match head.parse(bytes) {
        Ok(httparse::Status::Complete(_)) => {}
        Ok(httparse::Status::Partial) => return refuse(400, "This is no request of HTTP/1.1."),
        Err(httparse::Error::TooManyHeaders) => return refuse(431, "This request has too many fields."),
        Err(_) => return refuse(400, "This is no request of HTTP/1.1."),
    }
    let all = |name: &str| -> Vec<&[u8]> {
        let named = head.headers.iter().filter(|field| field.name.eq_ignore_ascii_case(name));
        named.map(|field| field.value).collect()
    };
    let hosts = [format!("127.0.0.1:{port}"), format!("localhost:{port}")];
    let is_ours = |host: &[u8]| hosts.iter().any(|ours| host.eq_ignore_ascii_case(ours.as_bytes()));
    if !matches!(all("host").as_slice(), [host] if is_ours(host)) {
        return refuse(403, &format!("This preview answers at http://{}/ only, by that name.", hosts[0]));
    }
    let is_own_page = |origin: &&[u8]| origin.strip_prefix(b"http://").is_some_and(is_ours);
    if !all("origin").iter().all(is_own_page) {
        return refuse(403, "A page of another origin may ask nothing of this preview.");
    }
    if !all("sec-fetch-site").iter().all(|site| matches!(*site, b"same-origin" | b"none")) {
        return refuse(
            403,
            "A page of another site may not lead here; write the address of the preview into the browser.",
        );
    }
    let is_head = match head.method {
        Some("GET") => false,
        Some("HEAD") => true,
        _ => return refuse(405, "This preview answers GET and HEAD only."),
    };
    let has_body = all("content-length").iter().any(|length| *length != b"0") || !all("transfer-encoding").is_empty();
    if has_body {
        return refuse(400, "A request to this preview has no body.");
    }
    let target = head.path.unwrap_or_default();
    if !target.starts_with('/') {
        return refuse(400, "The target of this request is no path.");
    }
    match asked(target) {
        Some(request) => Ok((request, is_head)),
        None => refuse(400, "The query of this request cannot be read."),
    }
}

/// The parts of a target; `None` where its query is no text.
fn asked(target: &str) -> Option<Request> {
    let target = target.split('#').next()?;
    let (path, query) = target.split_once('?').unwrap_or((target, ""));
    let pairs = query.split('&').filter(|pair| !pair.is_empty()).map(|pair| {
        let (name, value) = pair.split_once('=').unwrap_or((pair, ""));
        Some((decoded(name)?, decoded(value)?))
    });
    Some(Request { path: path.to_owned(), query: pairs.collect::<Option<_>>()? })
}

/// `application/x-www-form-urlencoded`, as a browser writes it (WHATWG URL Standard).
fn decoded(text: &str) -> Option<String> {
    let mut bytes = Vec::new();
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        bytes.push(match byte {
            b'+' => b' ',
            b'%' => {
                let mut digit = || char::from(rest.next()?).to_digit(16);
                u8::try_from(digit()? * 16 + digit()?).ok()?
            }
            other => other,
        });
    }
    String::from_utf8(bytes).ok()
}

fn send(stream: &mut TcpStream, response: &Response, is_head: bool) -> std::io::Result<()> {
    let reason = match response.status {
        200 => "OK",
        400 => "Bad Request",
        403 => "Forbidden",
        404 => "Not Found",
        405 => "Method Not Allowed",
        409 => "Conflict",
        431 => "Request Header Fields Too Large",
        _ => "Internal Server Error",
    };
    let allow = if response.status == 405 { "Allow: GET, HEAD\r\n" } else { "" };
    let head = format!(
        "HTTP/1.1 {} {reason}\r\nContent-Type: {}\r\nContent-Length: {}\r\nContent-Security-Policy: {}\r\n\
         X-Content-Type-Options: nosniff\r\nCross-Origin-Resource-Policy: same-origin\r\nCross-Origin-Opener-Policy: same-origin\r\n\
         Referrer-Policy: no-referrer\r\nCache-Control: no-store\r\n{allow}Connection: close\r\n\r\n",
        response.status,
        response.media,
        response.body.len(),
        response.policy,
    );
    let end = Instant::now() + TIME_TO_TAKE;
    let body = if is_head { &[][..] } else { &response.body };
    for portion in std::iter::once(head.as_bytes()).chain(body.chunks(PORTION)) {
        let mut rest = portion;
        while !rest.is_empty() {
            stream.set_write_timeout(Some(left(end)?))?;
            match stream.write(rest) {
                Ok(0) => return Err(ErrorKind::WriteZero.into()),
                Ok(count) => rest = rest.get(count..).unwrap_or_default(),
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                Err(error) => return Err(error),
            }
        }
    }
    stream.flush()
}

/// Ends a connection. To close it while something of the request is unread would take the answer away from its reader.
fn leave(stream: &mut TcpStream) -> std::io::Result<()> {
    stream.shutdown(Shutdown::Write)?;
    let end = Instant::now() + TIME_TO_LEAVE;
    let mut portion = [0; 2048];
    loop {
        stream.set_read_timeout(Some(left(end)?))?;
        if stream.read(&mut portion)? == 0 {
            return Ok(());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn status(lines: &str) -> u16 {
        let text = format!("{}\r\n\r\n", lines.replace('\n', "\r\n"));
        match read(text.as_bytes(), 4000) {
            Ok(_) => 200,
            Err(refusal) => refusal.status,
        }
    }

    #[test]
    fn only_this_address_and_its_own_pages_are_answered() {
        for (lines, wanted) in [
            ("GET / HTTP/1.1\nHost: 127.0.0.1:4000", 200),
            ("HEAD / HTTP/1.1\nhost: LocalHost:4000", 200),
            ("GET / HTTP/1.1\nHost: 127.0.0.1:4000\nOrigin: http://127.0.0.1:4000\nSec-Fetch-Site: same-origin", 200),
            ("GET / HTTP/1.1\nHost: 127.0.0.1:4000\nSec-Fetch-Site: none", 200),
            ("GET / HTTP/1.1", 403),
            ("GET / HTTP/1.1\nHost: 127.0.0.1", 403),
            ("GET / HTTP/1.1\nHost: 127.0.0.1:4001", 403),
            ("GET / HTTP/1.1\nHost: 127.0.0.1:4000.example", 403),
            ("GET / HTTP/1.1\nHost: shop.example:4000", 403),
            ("GET / HTTP/1.1\nHost: 127.0.0.1:4000\nHost: shop.example", 403),
            ("GET / HTTP/1.1\nHost: 127.0.0.1:4000\nOrigin: http://shop.example", 403),
            ("GET / HTTP/1.1\nHost: 127.0.0.1:4000\nOrigin: https://127.0.0.1:4000", 403),
            ("GET / HTTP/1.1\nHost: 127.0.0.1:4000\nOrigin: http://127.0.0.1:4001", 403),
            ("GET / HTTP/1.1\nHost: 127.0.0.1:4000\nOrigin: null", 403),
            ("GET / HTTP/1.1\nHost: 127.0.0.1:4000\nSec-Fetch-Site: cross-site", 403),
            ("GET / HTTP/1.1\nHost: 127.0.0.1:4000\nSec-Fetch-Site: same-site", 403),
            ("POST / HTTP/1.1\nHost: 127.0.0.1:4000", 405),
            ("GET / HTTP/1.1\nHost: 127.0.0.1:4000\nContent-Length: 4", 400),
            ("GET / HTTP/1.1\nHost: 127.0.0.1:4000\nTransfer-Encoding: chunked", 400),
            ("GET http://127.0.0.1:4000/ HTTP/1.1\nHost: 127.0.0.1:4000", 400),
            ("GET /?with=%zz HTTP/1.1\nHost: 127.0.0.1:4000", 400),
            ("GET /?with=%ff HTTP/1.1\nHost: 127.0.0.1:4000", 400),
            ("nonsense", 400),
        ] {
            assert_eq!(status(lines), wanted, "{lines}");
        }
    }

    /// WHATWG URL Standard, 5: a blank is a plus sign, other bytes are written with a per cent sign.
    #[test]
    fn a_query_is_read_as_browsers_write_it() {
        let request = asked("/out/manual.html?with=roof-rating%3D150+kg&with=a%26b&x").expect("a query");
        assert_eq!(request.path, "/out/manual.html");
        let pairs: Vec<(&str, &str)> =
            request.query.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
        assert_eq!(pairs, [("with", "roof-rating=150 kg"), ("with", "a&b"), ("x", "")]);
    }
}
