//! Messages on a stream: a head with the length of the body, an empty line, the body in JSON (JSON-RPC 2.0, as the Language
//! Server Protocol 3.17 frames it).

use std::io::{self, BufRead, Read, Write};

use lsp_server::Message;

/// No body may be longer, in bytes: a file of the largest size, with each of its characters escaped.
const LONGEST_BODY: usize = 6 * crate::world::LARGEST_FILE;
/// No line of a head may be longer.
const LONGEST_HEAD: u64 = 4096;

/// What came in.
pub enum Incoming {
    /// A message.
    Message(Message),
    /// A body that is none: what is wrong with it.
    Garbled(String),
    /// The other side has gone.
    End,
}

/// Reads one message.
///
/// # Errors
/// Where the frame can't be followed any more: a head without a length, a body that is too long.
pub fn read(from: &mut impl BufRead) -> io::Result<Incoming> {
    let mut length = None;
    loop {
        let mut line = Vec::new();
        let read = from.by_ref().take(LONGEST_HEAD).read_until(b'\n', &mut line)?;
        if read == 0 {
            return Ok(Incoming::End);
        }
        if !line.ends_with(b"\n") {
            return Err(io::Error::new(io::ErrorKind::InvalidData, "the head of a message is too long"));
        }
        let line = String::from_utf8_lossy(&line);
        let line = line.trim();
        if line.is_empty() {
            if length.is_some() {
                break;
            }
            continue;
        }
        if let Some((name, value)) = line.split_once(':')
            && name.trim().eq_ignore_ascii_case("content-length")
        {
            length = value.trim().parse::<usize>().ok();
        }
    }
    let length = length.filter(|length| *length <= LONGEST_BODY);
    let Some(length) = length else {
        return Err(io::Error::new(io::ErrorKind::InvalidData, "a message is too long"));
    };
    let mut body = Vec::new();
    from.take(length as u64).read_to_end(&mut body)?;
    if body.len() < length {
        return Ok(Incoming::End);
    }
    Ok(match serde_json::from_slice(&body) {
        Ok(message) => Incoming::Message(message),
        Err(error) => Incoming::Garbled(error.to_string()),
    })
}

/// Writes one message.
pub fn write(message: &serde_json::Value, to: &mut impl Write) -> io::Result<()> {
    let body = message.to_string();
    write!(to, "Content-Length: {}\r\n\r\n{body}", body.len())?;
    to.flush()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(bytes: &[u8]) -> Vec<String> {
        let mut from = bytes;
        let mut found = Vec::new();
        loop {
            match read(&mut from) {
                Ok(Incoming::Message(Message::Notification(notification))) => found.push(notification.method),
                Ok(Incoming::Message(_)) => found.push("message".into()),
                Ok(Incoming::Garbled(_)) => found.push("garbled".into()),
                Ok(Incoming::End) => return found,
                Err(error) => {
                    found.push(error.to_string());
                    return found;
                }
            }
        }
    }

    #[test]
    fn a_garbled_body_does_not_end_the_stream() {
        let frame = |body: &str| format!("Content-Length: {}\r\n\r\n{body}", body.len());
        let good = frame(r#"{"jsonrpc":"2.0","method":"exit"}"#);
        assert_eq!(all(format!("{}{good}", frame("{nonsense")).as_bytes()), ["garbled", "exit"]);
        assert_eq!(all(format!("Content-Type: x\r\n{good}").as_bytes()), ["exit"]);
        assert_eq!(all(b"Content-Length: 99\r\n\r\n{}"), Vec::<String>::new());
        assert_eq!(all(b"Content-Length: 99999999999\r\n\r\n"), ["a message is too long"]);
        assert_eq!(all(&[b'x'; 9000]), ["the head of a message is too long"]);
    }
}
