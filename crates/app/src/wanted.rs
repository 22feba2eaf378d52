//! Work that nobody waits for any more ends. A long answer asks, between its
//! parts, whether it is still wanted; when not, it unwinds to where it began
//! and leaves nothing behind. Only answers that write nothing are worked out
//! so.

use std::any::Any;
use std::cell::RefCell;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, mpsc};
use std::time::Duration;

thread_local! {
    /// Whether the answer this thread works on is still wanted.
    static NOW: RefCell<Option<Arc<AtomicBool>>> = const { RefCell::new(None) };
}

/// Held by whoever waits for an answer; dropped, the answer is not wanted.
#[derive(Debug)]
pub struct Waiting(Arc<AtomicBool>);

/// What the answer is worked out under.
#[derive(Debug)]
pub struct Wanted(Arc<AtomicBool>);

/// What unwinds.
struct NotWanted;

/// Both ends: one to wait with, one to work under.
#[must_use]
pub fn pair() -> (Waiting, Wanted) {
    let flag = Arc::new(AtomicBool::new(true));
    (Waiting(Arc::clone(&flag)), Wanted(flag))
}

/// Does `work` on this thread; `None` when it was not done in so long.
pub fn within<T>(long: Duration, work: impl FnOnce() -> T) -> Option<T> {
    let (waiting, wanted) = pair();
    let (done, ended) = mpsc::channel::<()>();
    std::thread::spawn(move || {
        // Ends at once when the work is done.
        let _ = ended.recv_timeout(long);
        drop(waiting);
    });
    let answer = wanted.work(work);
    drop(done);
    answer
}

impl Drop for Waiting {
    fn drop(&mut self) {
        self.0.store(false, Ordering::Relaxed);
    }
}

impl Wanted {
    /// Does `work` on this thread; `None` when it was given up on the way.
    pub fn work<T>(self, work: impl FnOnce() -> T) -> Option<T> {
        let before = NOW.replace(Some(self.0));
        let done = catch_unwind(AssertUnwindSafe(|| {
            stop_unless_wanted();
            work()
        }));
        NOW.set(before);
        match done {
            Ok(answer) => Some(answer),
            Err(thrown) if is_ours(&*thrown) => None,
            Err(thrown) => resume_unwind(thrown),
        }
    }
}

fn is_ours(thrown: &(dyn Any + Send)) -> bool {
    thrown.is::<NotWanted>()
}

/// Unwinds to [`Wanted::work`] when its answer is no longer wanted; does
/// nothing on a thread that works under none.
pub fn stop_unless_wanted() {
    let wanted = NOW.with_borrow(|now| now.as_ref().is_none_or(|f| f.load(Ordering::Relaxed)));
    if !wanted {
        resume_unwind(Box::new(NotWanted));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_goes_on_while_somebody_waits_and_ends_when_nobody_does() {
        let (waiting, wanted) = pair();
        assert_eq!(wanted.work(|| 7), Some(7));
        drop(waiting);
        let (waiting, wanted) = pair();
        let mut parts = 0;
        let done = wanted.work(|| {
            let mut waiting = Some(waiting);
            for part in 0..10 {
                stop_unless_wanted();
                parts = part + 1;
                if parts == 3 {
                    waiting = None;
                }
            }
            waiting.is_some()
        });
        assert_eq!((done, parts), (None, 3));
        // The thread works on as before.
        stop_unless_wanted();
    }

    #[test]
    fn work_that_takes_too_long_ends() {
        assert_eq!(within(Duration::from_secs(60), || 7), Some(7));
        let endless = within(Duration::from_millis(5), || {
            loop {
                stop_unless_wanted();
            }
        });
        assert_eq!(endless, None::<()>);
    }

    #[test]
    fn other_faults_go_through() {
        let (_waiting, wanted) = pair();
        let thrown = catch_unwind(AssertUnwindSafe(|| {
            wanted.work(|| resume_unwind(Box::new(5)))
        }));
        assert!(thrown.is_err());
    }
}
