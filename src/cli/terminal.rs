//! What the terminal can show, and writing to it without failing on a closed pipe.

use std::env;
use std::io::{self, IsTerminal, Write};

use super::CannotRun;
use crate::diagnostics::render::Style;

/// How to print findings to a stream.
pub fn style(is_terminal: bool) -> Style {
    let set = |name: &str| env::var_os(name).is_some_and(|value| !value.is_empty());
    let dumb = env::var_os("TERM").is_some_and(|value| value == "dumb");
    let width = env::var("COLUMNS").ok().and_then(|columns| columns.parse().ok()).unwrap_or(80_usize);
    Style { color: is_terminal && !set("NO_COLOR") && !dumb, width: width.clamp(60, 120), unicode: unicode() }
}

/// Whether the user's locale can show more than ASCII. Without a locale the answer is yes: it is so in most pipelines.
fn unicode() -> bool {
    let locale =
        ["LC_ALL", "LC_CTYPE", "LANG"].into_iter().find_map(|name| env::var(name).ok().filter(|v| !v.is_empty()));
    locale.is_none_or(|name| {
        let name = name.to_ascii_lowercase();
        name.contains("utf-8") || name.contains("utf8")
    })
}

/// Standard output or standard error.
pub struct Stream<W> {
    to: W,
    /// The reader went away (`| head`): what is left is not written, and that is no fault.
    closed: bool,
    fault: Option<io::Error>,
}

impl Stream<io::Stdout> {
    /// Standard output.
    pub fn output() -> Self {
        Stream { to: io::stdout(), closed: false, fault: None }
    }

    /// How to print findings here.
    pub fn style(&self) -> Style {
        style(self.to.is_terminal())
    }
}

impl Stream<io::Stderr> {
    /// Standard error.
    pub fn errors() -> Self {
        Stream { to: io::stderr(), closed: false, fault: None }
    }

    /// How to print findings here.
    pub fn style(&self) -> Style {
        style(self.to.is_terminal())
    }
}

impl<W: Write> Stream<W> {
    /// Writes a text; what goes wrong is kept for [`Stream::finish`].
    pub fn say(&mut self, text: &str) {
        if self.closed || self.fault.is_some() {
            return;
        }
        match self.to.write_all(text.as_bytes()) {
            Ok(()) => {}
            Err(error) if error.kind() == io::ErrorKind::BrokenPipe => self.closed = true,
            Err(error) => self.fault = Some(error),
        }
    }

    /// Whether nothing that is said arrives any more: the reader went away, or the output could not be written.
    pub fn is_closed(&self) -> bool {
        self.closed || self.fault.is_some()
    }

    /// Flushes.
    ///
    /// # Errors
    /// Where a text could not be written, a closed pipe apart.
    pub fn finish(mut self) -> Result<(), CannotRun> {
        if self.fault.is_none()
            && !self.closed
            && let Err(error) = self.to.flush()
            && error.kind() != io::ErrorKind::BrokenPipe
        {
            self.fault = Some(error);
        }
        self.fault.map_or(Ok(()), |error| Err(CannotRun(format!("the output could not be written: {error}"))))
    }
}

/// A line on standard error that says how far a long run is. Nothing where nobody watches.
pub struct Progress {
    total: usize,
    shown: bool,
}

impl Progress {
    /// Fewer files than this are done before a line could be read.
    const WORTH_SAYING: usize = 4;

    /// For a run over so many files.
    pub fn over(total: usize) -> Progress {
        Progress { total, shown: total >= Progress::WORTH_SAYING && io::stderr().is_terminal() }
    }

    /// For a run over what nobody has counted. `beside` says whether standard output is a terminal too, whose lines it would stand
    /// between.
    pub fn over_rows(beside: bool) -> Progress {
        Progress { total: 0, shown: !beside && io::stderr().is_terminal() }
    }

    /// Says how many rows are done.
    pub fn rows(&self, rows: u64) {
        if self.shown {
            let _ = write!(io::stderr(), "\r\x1b[2K  {rows} rows");
        }
    }

    /// Says which file is next, counted from one.
    pub fn at(&self, number: usize, name: &str) {
        if self.shown {
            let name = crate::diagnostics::visible(name);
            // A progress line that cannot be written is not worth a word.
            let _ = write!(io::stderr(), "\r\x1b[2K  {number} of {}  {name}", self.total);
        }
    }

    /// Clears the line.
    pub fn clear(&self) {
        if self.shown {
            let _ = write!(io::stderr(), "\r\x1b[2K");
        }
    }
}
