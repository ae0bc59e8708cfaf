//! The table as it is read: line by line, however long it is.

use std::collections::VecDeque;
use std::fs::File;
use std::io::{self, BufRead, BufReader, Read};
use std::path::{Path, PathBuf};

use super::super::CannotRun;
use super::name_of;
use crate::fit::{Field, MOST_BYTES, Record, Records};

/// A table that is open.
pub struct Table {
    path: PathBuf,
    /// As it is told of.
    pub name: String,
    input: Box<dyn BufRead + Send>,
    records: Records,
    /// Read, and not given yet.
    ready: VecDeque<Record>,
    ended: bool,
}

impl Table {
    pub fn open(path: &Path) -> Result<Table, CannotRun> {
        let input: Box<dyn BufRead + Send> = if path.as_os_str() == "-" {
            Box::new(BufReader::with_capacity(1 << 16, io::stdin()))
        } else {
            let file = File::open(path).map_err(|error| CannotRun::reading(path, &error))?;
            Box::new(BufReader::with_capacity(1 << 16, file))
        };
        let (path, name) = (path.to_path_buf(), name_of(path));
        Ok(Table { path, name, input, records: Records::default(), ready: VecDeque::new(), ended: false })
    }

    /// The cells of the head.
    ///
    /// # Errors
    /// Where there is none, or it can't be read.
    pub fn head(&mut self) -> Result<Vec<String>, CannotRun> {
        let Some(record) = self.next_record()? else {
            return Err(CannotRun(format!("{} is empty; its first line has to name the columns", self.name)));
        };
        let not_text = |fields: &[Field]| fields.iter().position(|field| !field.is_text);
        let (column, why) = match record.fields {
            Ok(fields) => match not_text(&fields) {
                None => return Ok(fields.into_iter().map(|field| field.text).collect()),
                Some(at) => (at + 1, "it is not text (UTF-8); save the table as UTF-8".to_owned()),
            },
            Err(fault) => fault,
        };
        let (name, line) = (&self.name, record.line);
        Err(CannotRun(format!("{name}: the head can't be read: line {line}, column {column}: {why}")))
    }

    /// The next row; `None` at the end.
    ///
    /// # Errors
    /// Where the file can't be read on.
    pub fn next_record(&mut self) -> Result<Option<Record>, CannotRun> {
        while self.ready.is_empty() && !self.ended {
            let found = self.read()?;
            self.ready.extend(found);
        }
        Ok(self.ready.pop_front())
    }

    fn read(&mut self) -> Result<Vec<Record>, CannotRun> {
        let path = self.path.clone();
        let fault = |error: io::Error| CannotRun::reading(&path, &error);
        let mut line = Vec::new();
        let limit = u64::try_from(MOST_BYTES).unwrap_or(u64::MAX);
        let read = self.input.by_ref().take(limit).read_until(b'\n', &mut line).map_err(fault)?;
        if read == 0 {
            self.ended = true;
            return Ok(self.records.end());
        }
        if line.len() < MOST_BYTES || line.ends_with(b"\n") {
            return Ok(self.records.line(&line));
        }
        self.skip_line().map_err(fault)?;
        Ok(self.records.too_long())
    }

    fn skip_line(&mut self) -> io::Result<()> {
        loop {
            let bytes = self.input.fill_buf()?;
            if bytes.is_empty() {
                return Ok(());
            }
            match bytes.iter().position(|byte| *byte == b'\n') {
                Some(at) => {
                    self.input.consume(at + 1);
                    return Ok(());
                }
                None => {
                    let all = bytes.len();
                    self.input.consume(all);
                }
            }
        }
    }
}

/// The cells of a head that stands in an option.
pub fn head_of(line: &str) -> Result<Vec<String>, CannotRun> {
    let mut records = Records::default();
    let several = || Err(CannotRun("--head has to name the columns, in one line".to_owned()));
    if line.contains(['\r', '\n']) {
        return several();
    }
    let mut found = records.line(line.as_bytes());
    found.extend(records.end());
    match found.pop().map(|record| record.fields) {
        Some(Ok(fields)) if found.is_empty() => Ok(fields.into_iter().map(|field| field.text).collect()),
        Some(Err((column, why))) => Err(CannotRun(format!("--head can't be read: column {column}: {why}"))),
        _ => several(),
    }
}
