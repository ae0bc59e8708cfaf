//! Rows in, rows out, on several threads: in the order of the table, and with no more of it in memory than a few chunks.

use std::collections::BTreeMap;
use std::sync::mpsc::{self, Receiver, SyncSender};
use std::sync::{Mutex, PoisonError};
use std::thread;

use super::super::CannotRun;
use super::FitFormat;
use super::table::Table;
use crate::fit::{Counts, Fit, Judge, PagePart, Record, csv_lines, json_lines, message_words, text_lines};

/// So many rows are judged at a time.
const CHUNK: usize = 128;
/// So many chunks are under way for each thread.
const UNDER_WAY: usize = 4;

/// What came of some rows.
pub struct Chunk {
    pub text: String,
    pub messages: Vec<String>,
    pub counts: Counts,
    pub page: PagePart,
}

/// Rows with their number: how many chunks, and how many rows, came before.
struct Work {
    chunk: u64,
    first_row: u64,
    records: Vec<Record>,
}

/// Judges all rows. `done` takes what comes of them, in their order, and says whether nobody listens any more.
///
/// # Errors
/// Where the table can't be read on; what came before is done.
pub fn run(
    fit: &Fit<'_>,
    mut table: Table,
    format: FitFormat,
    paged: bool,
    threads: usize,
    mut done: impl FnMut(Chunk) -> bool,
) -> Result<(), CannotRun> {
    let under_way = threads.saturating_mul(UNDER_WAY);
    // A chunk needs a place, which the writer gives back: so the quick ones wait for the slow.
    let (give_place, places) = mpsc::sync_channel::<()>(under_way);
    for _ in 0..under_way {
        let _ = give_place.try_send(());
    }
    let (give_work, work) = mpsc::sync_channel::<Work>(under_way);
    let (give_done, finished) = mpsc::sync_channel::<(u64, Chunk)>(under_way);
    let work = Mutex::new(work);
    thread::scope(|scope| {
        let reading = scope.spawn(move || read(&mut table, &places, &give_work));
        for _ in 0..threads {
            let (work, give_done) = (&work, give_done.clone());
            scope.spawn(move || judge(fit, format, paged, work, &give_done));
        }
        drop(give_done);
        let (mut early, mut next) = (BTreeMap::new(), 0);
        'all: for (number, chunk) in finished {
            early.insert(number, chunk);
            while let Some(chunk) = early.remove(&next) {
                next += 1;
                if done(chunk) {
                    break 'all;
                }
                // The reader may be at its end.
                let _ = give_place.try_send(());
            }
        }
        drop(give_place);
        reading.join().unwrap_or_else(|_| Err(CannotRun("reading the table ended too early".to_owned())))
    })
}

/// Reads chunk after chunk, as places get free, until the end or until nobody takes them.
fn read(table: &mut Table, places: &Receiver<()>, give: &SyncSender<Work>) -> Result<(), CannotRun> {
    let (mut chunk, mut first_row) = (0, 0);
    loop {
        let mut records = Vec::with_capacity(CHUNK);
        let mut fault = None;
        while records.len() < CHUNK {
            match table.next_record() {
                Ok(Some(record)) => records.push(record),
                Ok(None) => break,
                Err(error) => {
                    fault = Some(error);
                    break;
                }
            }
        }
        let count = records.len();
        if count > 0 && (places.recv().is_err() || give.send(Work { chunk, first_row, records }).is_err()) {
            return Ok(());
        }
        chunk += 1;
        first_row += u64::try_from(count).unwrap_or(0);
        match fault {
            Some(error) => return Err(error),
            None if count < CHUNK => return Ok(()),
            None => {}
        }
    }
}

fn judge(fit: &Fit<'_>, format: FitFormat, paged: bool, work: &Mutex<Receiver<Work>>, give: &SyncSender<(u64, Chunk)>) {
    let mut judge = Judge::of(fit);
    loop {
        let next = work.lock().unwrap_or_else(PoisonError::into_inner).recv();
        let Ok(Work { chunk: number, first_row, records }) = next else { return };
        let mut chunk = Chunk {
            text: String::new(),
            messages: Vec::new(),
            counts: Counts::default(),
            page: PagePart::from_row(first_row),
        };
        for record in records {
            let answer = judge.row(record);
            chunk.counts.add(&answer);
            chunk.messages.extend(answer.messages.iter().map(message_words));
            match format {
                FitFormat::Human => text_lines(&judge, &answer, &mut chunk.text),
                FitFormat::Csv => csv_lines(&judge, &answer, &mut chunk.text),
                FitFormat::Json => json_lines(&judge, &answer, &mut chunk.text),
            }
            if paged {
                chunk.page.add(&judge, &answer);
            }
        }
        if give.send((number, chunk)).is_err() {
            return;
        }
    }
}
