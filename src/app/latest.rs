//! A thread that works on the latest request only: what arrives while it is busy replaces what was waiting.

use std::{
    any::Any,
    panic::{AssertUnwindSafe, catch_unwind},
    sync::{
        Arc, Condvar, Mutex, MutexGuard, PoisonError,
        mpsc::{Receiver, Sender, channel},
    },
    thread::JoinHandle,
    time::{Duration, Instant},
};

/// Asks for a repaint; called from other threads.
pub type Wake = Arc<dyn Fn() + Send + Sync>;

struct Slot<Q> {
    waiting: Option<Q>,
    busy: bool,
    closed: bool,
}

struct Shared<Q> {
    slot: Mutex<Slot<Q>>,
    changed: Condvar,
}

impl<Q> Shared<Q> {
    /// The slot holds plain data, valid at every moment, so a panic elsewhere does not spoil it.
    fn lock(&self) -> MutexGuard<'_, Slot<Q>> {
        self.slot.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// The thread and the way to it. Dropping it tells the thread that its answer is no longer awaited, and waits for it to end.
pub struct Latest<Q, A> {
    shared: Arc<Shared<Q>>,
    answers: Receiver<A>,
    thread: Option<JoinHandle<()>>,
}

/// Does the work on its own thread, with a rest after each request (none: `Duration::ZERO`). A panic in `work` is
/// turned into an answer by `failed`, with its text. The second thing that `work` is given says whether its answer is
/// still awaited; what it answers after a no is dropped by whoever asks only about the latest.
///
/// # Errors
/// The system gives no thread.
pub fn start<Q, A>(
    name: &str,
    rest: Duration,
    wake: Wake,
    mut work: impl FnMut(&Q, &dyn Fn() -> bool) -> A + Send + 'static,
    failed: impl Fn(&Q, String) -> A + Send + 'static,
) -> std::io::Result<Latest<Q, A>>
where
    Q: Send + 'static,
    A: Send + 'static,
{
    let work = move |request: &Q, awaited: &dyn Fn() -> bool, _: &dyn Fn(A)| work(request, awaited);
    start_in_steps(name, rest, wake, work, failed)
}

/// The same where a part of the answer is there early: the third thing that `work` is given hands it out.
///
/// # Errors
/// The system gives no thread.
pub fn start_in_steps<Q, A>(
    name: &str,
    rest: Duration,
    wake: Wake,
    mut work: impl FnMut(&Q, &dyn Fn() -> bool, &dyn Fn(A)) -> A + Send + 'static,
    failed: impl Fn(&Q, String) -> A + Send + 'static,
) -> std::io::Result<Latest<Q, A>>
where
    Q: Send + 'static,
    A: Send + 'static,
{
    let shared = Arc::new(Shared {
        slot: Mutex::new(Slot {
            waiting: None,
            busy: false,
            closed: false,
        }),
        changed: Condvar::new(),
    });
    let (sender, answers): (Sender<A>, Receiver<A>) = channel();
    let inner = Arc::clone(&shared);
    let thread = std::thread::Builder::new()
        .name(name.to_owned())
        .spawn(move || {
            while let Some(request) = next(&inner) {
                let early = |part: A| {
                    // Whether anybody listens shows when the whole answer is sent.
                    let _ = sender.send(part);
                    wake();
                };
                let answer = catch_unwind(AssertUnwindSafe(|| {
                    work(&request, &|| awaited(&inner), &early)
                }))
                .unwrap_or_else(|panic| failed(&request, text_of(&*panic)));
                let sent = sender.send(answer);
                inner.lock().busy = false;
                inner.changed.notify_all();
                if sent.is_err() {
                    break;
                }
                wake();
                pause(&inner, rest);
            }
        })?;
    Ok(Latest {
        shared,
        answers,
        thread: Some(thread),
    })
}

/// Whether nothing newer waits and somebody is there to take the answer.
fn awaited<Q>(shared: &Shared<Q>) -> bool {
    let slot = shared.lock();
    slot.waiting.is_none() && !slot.closed
}

fn next<Q>(shared: &Shared<Q>) -> Option<Q> {
    let mut slot = shared.lock();
    loop {
        if let Some(request) = slot.waiting.take() {
            slot.busy = true;
            return Some(request);
        }
        if slot.closed {
            return None;
        }
        slot = shared
            .changed
            .wait(slot)
            .unwrap_or_else(PoisonError::into_inner);
    }
}

fn pause<Q>(shared: &Shared<Q>, rest: Duration) {
    let end = Instant::now() + rest;
    let mut slot = shared.lock();
    while !slot.closed && Instant::now() < end {
        let left = end.saturating_duration_since(Instant::now());
        slot = shared
            .changed
            .wait_timeout(slot, left)
            .unwrap_or_else(PoisonError::into_inner)
            .0;
    }
}

fn text_of(panic: &(dyn Any + Send)) -> String {
    let text = panic
        .downcast_ref::<&str>()
        .map(|text| (*text).to_owned())
        .or_else(|| panic.downcast_ref::<String>().cloned());
    let text = text.unwrap_or_else(|| "a step of the computation failed".to_owned());
    text.chars().take(200).collect()
}

impl<Q, A> Latest<Q, A> {
    /// Hands in a request; one that still waits is dropped.
    pub fn ask(&self, request: Q) {
        self.shared.lock().waiting = Some(request);
        self.shared.changed.notify_all();
    }

    /// The next finished answer, oldest first.
    pub fn answer(&self) -> Option<A> {
        self.answers.try_recv().ok()
    }

    /// Whether something is waiting or being worked on.
    pub fn is_busy(&self) -> bool {
        let slot = self.shared.lock();
        slot.busy || slot.waiting.is_some()
    }

    /// Waits until nothing is waiting or being worked on.
    pub fn settle(&self) {
        let mut slot = self.shared.lock();
        while slot.busy || slot.waiting.is_some() {
            slot = self
                .shared
                .changed
                .wait(slot)
                .unwrap_or_else(PoisonError::into_inner);
        }
    }
}

impl<Q, A> Drop for Latest<Q, A> {
    fn drop(&mut self) {
        self.shared.lock().closed = true;
        self.shared.changed.notify_all();
        if let Some(thread) = self.thread.take() {
            // It has caught every panic of the work; there is nothing left to report here.
            let _ = thread.join();
        }
    }
}
