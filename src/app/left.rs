//! How much doubt was left after every reading, in bits, on a thread of its own: it answers the job anew for every
//! beginning of the log.

use std::{io, sync::Arc, time::Duration};

use super::latest::{Latest, Wake, start};
use crate::{
    circuit::Circuit,
    diagnosis::{Findings, Question, diagnose_while},
    notebook::Job,
    practice::split::bits,
    reading::{Entry, Meter},
};

/// Doubt after so many lines of the log.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Left {
    /// Lines of the log that were taken into account.
    pub lines: usize,
    /// Bits of doubt between the suspects, nothing wrong, and nothing on the sketch.
    pub bits: f64,
}

/// Bits of doubt in an answer.
pub fn doubt(findings: &Findings) -> f64 {
    let suspects = findings.suspects.iter().map(|suspect| suspect.probability);
    let others = [findings.healthy, findings.unexplained];
    let odds: Vec<f64> = suspects.chain(others).collect();
    bits(&odds)
}

/// What is left after so many lines if each had halved it, as the best yes-or-no tests do (Shannon 1948).
pub fn halved(start: f64, lines: usize) -> f64 {
    (start - lines as f64).max(0.0)
}

/// What was worked out last, and for what.
#[derive(Default)]
struct Known {
    of: Option<(Circuit, Meter)>,
    log: Vec<Entry>,
    left: Vec<f64>,
}

impl Known {
    /// Forgets what the job does not share.
    fn keep(&mut self, job: &Job) {
        let same = self
            .of
            .as_ref()
            .is_some_and(|(circuit, meter)| (circuit, meter) == (&job.circuit, &job.meter));
        if !same {
            *self = Self {
                of: Some((job.circuit.clone(), job.meter.clone())),
                ..Self::default()
            };
        }
        let shared = self.log.iter().zip(&job.log);
        let shared = shared.take_while(|(a, b)| a == b).count();
        self.left.truncate(shared + 1);
        self.log.clone_from(&job.log);
    }

    /// The doubt after every line of a job; nothing where something newer was asked for meanwhile.
    fn work(&mut self, job: &Job, awaited: &dyn Fn() -> bool) -> Option<Vec<Left>> {
        self.keep(job);
        while self.left.len() <= job.log.len() {
            let question = Question {
                log: &job.log[..self.left.len()],
                ..job.question()
            };
            let findings = diagnose_while(&question, awaited);
            if !awaited() {
                return None;
            }
            self.left.push(doubt(&findings));
        }
        let left = self.left.iter().enumerate();
        Some(left.map(|(lines, &bits)| Left { lines, bits }).collect())
    }
}

/// A job and the doubt after every line of its log.
type Told = (Arc<Job>, Vec<Left>);

/// The thread, what it was asked last, and what it said last.
pub struct Lefts {
    thread: Latest<Arc<Job>, Option<Told>>,
    asked: Option<Arc<Job>>,
    told: Option<Told>,
}

fn same(a: &Job, b: &Job) -> bool {
    (&a.circuit, &a.meter, &a.log) == (&b.circuit, &b.meter, &b.log)
}

impl Lefts {
    /// Starts the thread.
    ///
    /// # Errors
    /// The system refuses a thread.
    pub fn start(wake: Wake) -> io::Result<Self> {
        let mut known = Known::default();
        let thread = start(
            "doubt",
            Duration::ZERO,
            wake,
            move |job: &Arc<Job>, awaited| Some((Arc::clone(job), known.work(job, awaited)?)),
            |_, _| None,
        )?;
        Ok(Self {
            thread,
            asked: None,
            told: None,
        })
    }

    /// Asks for a job, unless it was asked for already, and takes in what is finished.
    pub fn follow(&mut self, job: &Arc<Job>) {
        self.take_in();
        let asked = self.asked.as_ref();
        if !asked.is_some_and(|asked| Arc::ptr_eq(asked, job) || same(asked, job)) {
            self.asked = Some(Arc::clone(job));
            self.thread.ask(Arc::clone(job));
        }
    }

    fn take_in(&mut self) {
        while let Some(told) = self.thread.answer() {
            self.told = told.or_else(|| self.told.take());
        }
    }

    /// The doubt after every line of a job, once it is there; the first entry is that before any.
    pub fn of(&self, job: &Arc<Job>) -> Option<&[Left]> {
        let (of, left) = self.told.as_ref()?;
        (Arc::ptr_eq(of, job) || same(of, job)).then_some(left.as_slice())
    }

    /// Waits until nothing is being worked on.
    pub fn settle(&mut self) {
        self.thread.settle();
        self.take_in();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notebook::parse_job;

    #[test]
    fn doubt_falls_over_the_log_and_what_is_known_is_kept() {
        let text = include_str!("../../sample_circuits/01-ride-height.ron");
        let job = Arc::new(parse_job("sample", text.as_bytes()).unwrap().job);
        let mut lefts = Lefts::start(Arc::new(|| ())).unwrap();
        assert!(lefts.of(&job).is_none());
        lefts.follow(&job);
        lefts.settle();
        let all = lefts.of(&job).unwrap().to_vec();
        assert_eq!(all.len(), job.log.len() + 1);
        assert!(all.last().unwrap().bits < all[0].bits - 2.0, "{all:?}");
        let mut shorter = Job::clone(&job);
        shorter.log.pop();
        let shorter = Arc::new(shorter);
        lefts.follow(&shorter);
        lefts.settle();
        assert_eq!(lefts.of(&shorter).unwrap(), &all[..job.log.len()]);
        assert!(lefts.of(&job).is_none(), "it is of another log now");
    }

    #[test]
    fn even_odds_halve_by_one_bit() {
        // Shannon 1948: eight equal cases hold 3 bits; a yes-or-no answer takes 1 at most.
        assert!((bits(&[1.0; 8]) - 3.0).abs() < 1e-12);
        assert!((halved(3.0, 2) - 1.0).abs() < 1e-12);
        assert!(halved(3.0, 9).abs() < 1e-12);
    }
}
