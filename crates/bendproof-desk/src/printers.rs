//! The printers: a PDF takes a second and some hundred megabytes while it is made,
//! so few are made at a time and the others wait their turn.

use std::sync::Arc;

use bendproof_bench::desk::Trouble;
use tokio::sync::Semaphore;

use super::computing;

/// Papers made at the same time. Basis: choice; with more, a class that prints
/// together would take the memory of the whole machine and be no sooner done.
const PRINTERS: usize = 2;

/// The printers of one bench.
#[derive(Debug, Clone)]
pub(super) struct Printers(Arc<Semaphore>);

impl Default for Printers {
    fn default() -> Self {
        Self(Arc::new(Semaphore::new(PRINTERS)))
    }
}

impl Printers {
    /// Makes a paper once a printer is free. The printer stays taken until the
    /// paper is done, even where nobody waits for it any longer.
    pub(super) async fn print<T: Send + 'static>(
        &self,
        paper: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, Trouble> {
        let turn = Arc::clone(&self.0).acquire_owned().await;
        computing(move || {
            let made = paper();
            drop(turn);
            made
        })
        .await
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};
    use std::time::Duration;

    #[tokio::test]
    async fn no_more_than_two_papers_are_made_at_once_even_when_nobody_waits_for_them() {
        let printers = Printers::default();
        let counts = Arc::new((AtomicUsize::new(0), AtomicUsize::new(0), AtomicUsize::new(0)));
        let one = || {
            let (printers, counts) = (printers.clone(), Arc::clone(&counts));
            tokio::spawn(async move {
                let work = move || {
                    let (busy, most, done) = &*counts;
                    let now = busy.fetch_add(1, Ordering::SeqCst) + 1;
                    most.fetch_max(now, Ordering::SeqCst);
                    std::thread::sleep(Duration::from_millis(20));
                    busy.fetch_sub(1, Ordering::SeqCst);
                    done.fetch_add(1, Ordering::SeqCst);
                };
                printers.print(work).await.unwrap();
            })
        };
        let gone = [one(), one()];
        // Both have begun; then their clients go away.
        while counts.0.load(Ordering::SeqCst) < gone.len() {
            tokio::time::sleep(Duration::from_millis(1)).await;
        }
        gone.iter().for_each(tokio::task::JoinHandle::abort);
        let waiting: Vec<_> = (0..6).map(|_| one()).collect();
        for one in waiting {
            one.await.unwrap();
        }
        assert_eq!(counts.1.load(Ordering::SeqCst), PRINTERS);
        assert_eq!(counts.2.load(Ordering::SeqCst), 8);
    }
}
