//! Works on many things with several threads, and takes what comes of them in order.

use std::collections::BTreeMap;
use std::io;
use std::num::NonZeroUsize;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Condvar, Mutex, PoisonError, mpsc};
use std::thread;

use super::CannotRun;

/// What the main thread of a program has on most systems. A thread would get a quarter of it.
const STACK: usize = 8 * 1024 * 1024;

/// So many are worked on, or wait for their turn, at a time: enough that a large one holds nobody up, and few enough that what
/// comes of thousands never stands in memory all at once.
const AHEAD: usize = 24;

/// How many threads to work with: those asked for, or one a core.
pub fn threads(asked: Option<NonZeroUsize>) -> usize {
    asked.or_else(|| thread::available_parallelism().ok()).map_or(1, NonZeroUsize::get)
}

/// Does the `work` for each of so many numbers from 0, and hands what comes of it to `done` in the order of the numbers, as
/// with one thread. `done` runs on the thread that calls.
///
/// # Errors
/// Those of `done`, which end the work; and where the system has no more threads.
pub fn in_order<T: Send>(
    count: usize,
    threads: usize,
    work: impl Fn(usize) -> T + Sync,
    mut done: impl FnMut(usize, T) -> Result<(), CannotRun>,
) -> Result<(), CannotRun> {
    if threads.min(count) < 2 {
        return (0..count).try_for_each(|at| done(at, work(at)));
    }
    let (next, turn) = (AtomicUsize::new(0), Turn::default());
    let (give, take) = mpsc::channel();
    thread::scope(|scope| {
        let cannot = |error: io::Error| CannotRun(format!("the system has no thread to work with: {error}"));
        for number in 0..threads.min(count) {
            let (give, next, turn, work) = (give.clone(), &next, &turn, &work);
            let work_on = move || {
                let _falls = Falls(turn);
                loop {
                    let at = next.fetch_add(1, Ordering::Relaxed);
                    if at >= count || !turn.is_near(at) || give.send((at, work(at))).is_err() {
                        break;
                    }
                }
            };
            match thread::Builder::new().stack_size(STACK).spawn_scoped(scope, work_on) {
                Ok(_) => {}
                // Fewer do too.
                Err(_) if number > 0 => break,
                Err(error) => return Err(cannot(error)),
            }
        }
        drop(give);
        let mut early = BTreeMap::new();
        let mut at = 0;
        for (which, one) in &take {
            early.insert(which, one);
            while let Some(one) = early.remove(&at) {
                if let Err(error) = done(at, one) {
                    turn.end();
                    return Err(error);
                }
                at += 1;
                turn.goes_to(at);
            }
        }
        Ok(())
    })
}

/// Whose turn it is; who is far ahead waits.
#[derive(Default)]
struct Turn {
    /// The first that is not done yet; the largest number once the work has ended before its time.
    at: Mutex<usize>,
    moved: Condvar,
}

impl Turn {
    /// Waits until this one is to be worked on; `false` where the work has ended.
    fn is_near(&self, one: usize) -> bool {
        let at = self.at.lock().unwrap_or_else(PoisonError::into_inner);
        let far = |at: &mut usize| one.saturating_sub(*at) >= AHEAD;
        let at = self.moved.wait_while(at, far).unwrap_or_else(PoisonError::into_inner);
        *at != usize::MAX
    }

    fn goes_to(&self, next: usize) {
        let mut at = self.at.lock().unwrap_or_else(PoisonError::into_inner);
        // What has ended goes no further.
        *at = next.max(*at);
        self.moved.notify_all();
    }

    fn end(&self) {
        self.goes_to(usize::MAX);
    }
}

/// Ends the work where the thread that holds it falls: nobody shall wait for what it would have done.
struct Falls<'t>(&'t Turn);

impl Drop for Falls<'_> {
    fn drop(&mut self) {
        if thread::panicking() {
            self.0.end();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    /// The first take longest, so that later ones are done before them.
    #[test]
    fn what_is_done_early_waits_for_its_turn() {
        for threads in [1, 2, 3, 8, 100] {
            let mut told = Vec::new();
            let work = |at: usize| {
                thread::sleep(Duration::from_millis(if at.is_multiple_of(4) { 8 } else { 0 }));
                at * at
            };
            in_order(20, threads, work, |at, square| {
                told.push((at, square));
                Ok(())
            })
            .expect("it runs");
            assert_eq!(told, (0..20).map(|at| (at, at * at)).collect::<Vec<_>>(), "{threads}");
        }
    }

    #[test]
    #[should_panic(expected = "a scoped thread panicked")]
    fn nobody_waits_for_one_that_fell() {
        let work = |at: usize| {
            assert!(at != 3, "a fault of ours");
            at
        };
        let _ = in_order(1000, 4, work, |_, _| Ok(()));
    }

    /// The first takes longest, and thousands would be done before it.
    #[test]
    fn nobody_works_far_ahead() {
        let begun = AtomicUsize::new(0);
        let work = |at: usize| {
            begun.fetch_add(1, Ordering::Relaxed);
            thread::sleep(Duration::from_millis(if at == 0 { 50 } else { 0 }));
            at
        };
        in_order(1000, 4, work, |at, _| {
            assert!(at > 0 || begun.load(Ordering::Relaxed) <= AHEAD, "{begun:?}");
            Ok(())
        })
        .expect("it runs");
        assert_eq!(begun.load(Ordering::Relaxed), 1000);
    }

    #[test]
    fn a_fault_ends_the_work() {
        for threads in [1, 3] {
            let begun = AtomicUsize::new(0);
            let work = |at: usize| {
                begun.fetch_add(1, Ordering::Relaxed);
                thread::sleep(Duration::from_millis(1));
                at
            };
            let done = |at, _| if at == 5 { Err(CannotRun("no".to_owned())) } else { Ok(()) };
            assert!(in_order(1000, threads, work, done).is_err());
            assert!(begun.load(Ordering::Relaxed) < 500, "{threads}");
        }
        in_order(0, 4, |at| at, |_, _| Err(CannotRun("none".to_owned()))).expect("there is nothing to do");
    }
}
