//! A search on two threads: which of them does what is settled by the order of the jobs alone, so that the same input gives
//! the same answer, to the bit, however many cores there are.

use std::sync::atomic::{AtomicBool, Ordering};

use super::Seeker;

/// Jobs from which on the second thread is worth its start.
const WORTH_IT: usize = 4;

impl<'m, 'c> Seeker<'m, 'c, '_> {
    /// Does the jobs of these numbers, every other one on a thread of its own, and gives what they came to in their order;
    /// nothing for those that nobody waited for any more.
    pub(super) fn both<T: Send>(
        &mut self,
        jobs: usize,
        work: impl Fn(&mut Seeker<'m, 'c, '_>, usize) -> T + Sync,
    ) -> Vec<Option<T>> {
        if jobs < WORTH_IT {
            return (0..jobs)
                .map(|job| (self.go_on)().then(|| work(self, job)))
                .collect();
        }
        // What is factorised already need not be done once more.
        let mut weigher = (self.mate.take()).unwrap_or_else(|| Box::new(self.weigher.clone()));
        weigher.loose = self.weigher.loose;
        weigher.brisk = self.weigher.brisk;
        let stop = AtomicBool::new(false);
        let (candidates, log_total, idle) = (self.candidates, self.log_total, self.idle.clone());
        let (most, uneasy, least) = (self.most, self.uneasy, self.least);
        let litters = self.litters.clone();
        let (own, (second, other)) = std::thread::scope(|scope| {
            let mate = scope.spawn(|| {
                let go_on = || !stop.load(Ordering::Relaxed);
                let mut mate = Seeker {
                    candidates,
                    at_node: Vec::new(),
                    log_total,
                    weigher: *weigher,
                    idle,
                    most,
                    uneasy,
                    least,
                    litters,
                    partly: Vec::new(),
                    mate: None,
                    go_on: &go_on,
                };
                let other: Vec<Option<T>> = (1..jobs)
                    .step_by(2)
                    .map(|job| go_on().then(|| work(&mut mate, job)))
                    .collect();
                let Seeker {
                    weigher,
                    most,
                    uneasy,
                    least,
                    ..
                } = mate;
                ((weigher, most, uneasy, least), other)
            });
            let mut own: Vec<Option<T>> = Vec::with_capacity(jobs.div_ceil(2));
            for job in (0..jobs).step_by(2) {
                let wanted = (self.go_on)();
                if !wanted {
                    stop.store(true, Ordering::Relaxed);
                }
                own.push(wanted.then(|| work(self, job)));
            }
            let mate = mate.join();
            (
                own,
                mate.unwrap_or_else(|panic| std::panic::resume_unwind(panic)),
            )
        });
        let (weigher, most, uneasy, least) = second;
        self.mate = Some(Box::new(weigher));
        if most > self.most {
            (self.most, self.uneasy) = (most, uneasy);
        }
        self.least = self.least.min(least);
        let (mut own, mut other) = (own.into_iter(), other.into_iter());
        (0..jobs)
            .filter_map(|job| {
                if job % 2 == 0 {
                    own.next()
                } else {
                    other.next()
                }
            })
            .collect()
    }
}
