//! Worked sums and the story of the log on a thread of their own: they solve the circuit anew, which has no place in a frame.

use std::{io, sync::Arc, time::Duration};

use super::{
    latest::{Latest, Wake, start},
    model::Answer,
};
use crate::{
    diagnosis::Findings,
    explain::{Step, WorkedSum, steps, telling, worked_sum, worked_sum_of},
    notebook::Job,
};

/// Which sum is wanted of an answer.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Which {
    /// Index of a suspect; the likeliest explanation when none.
    pub suspect: Option<usize>,
    /// Index of a line of the log; the most telling one when none.
    pub entry: Option<usize>,
}

#[derive(Clone)]
struct Request {
    /// Number of the job among the open ones.
    number: u64,
    job: Arc<Job>,
    findings: Arc<Findings>,
    which: Which,
}

impl Request {
    fn same(&self, other: &Self) -> bool {
        self.number == other.number
            && Arc::ptr_eq(&self.findings, &other.findings)
            && self.which == other.which
    }

    fn work(&self) -> WorkedSum {
        let (question, findings) = (self.job.question(), self.findings.as_ref());
        let Which { suspect, entry } = self.which;
        match (suspect, entry) {
            (None, None) => worked_sum(&question, findings),
            (Some(_), None) => {
                let entry = telling(&question, findings, suspect);
                worked_sum_of(&question, findings, suspect, entry)
            }
            (_, Some(_)) => {
                let likeliest = findings.suspects.first();
                let top = likeliest.filter(|top| top.probability > findings.healthy);
                let suspect = suspect.or(top.map(|_| 0));
                worked_sum_of(&question, findings, suspect, entry)
            }
        }
    }
}

#[derive(Clone)]
struct Told {
    request: Request,
    sum: WorkedSum,
    steps: Arc<Vec<Step>>,
}

/// A sum to show, with the answer that it belongs to.
#[derive(Clone, Copy, Debug)]
pub struct Shown<'a> {
    /// The sum.
    pub sum: &'a WorkedSum,
    /// The findings whose suspects it tells of.
    pub findings: &'a Findings,
    /// Whether it is the one that was asked for last; else that is still being worked on.
    pub current: bool,
}

impl Shown<'_> {
    /// The same; a sum to come, where the answer itself is still being worked on.
    pub fn unless(self, busy: bool) -> Self {
        Self {
            current: self.current && !busy,
            ..self
        }
    }
}

/// The thread, what it was asked last, and what it said last.
pub struct Sums {
    /// Number of the job that is looked at.
    job: u64,
    thread: Latest<Request, Option<Told>>,
    asked: Option<Request>,
    told: Option<Told>,
}

impl Sums {
    /// Starts the thread.
    ///
    /// # Errors
    /// The system refuses a thread.
    pub fn start(wake: Wake) -> io::Result<Self> {
        let thread = start(
            "sums",
            Duration::ZERO,
            wake,
            |request: &Request, _| {
                Some(Told {
                    request: request.clone(),
                    sum: request.work(),
                    steps: Arc::new(steps(&request.job.question(), &request.findings)),
                })
            },
            |_, _| None,
        )?;
        Ok(Self {
            job: 0,
            thread,
            asked: None,
            told: None,
        })
    }

    /// Asks for a sum, unless it was asked for already, and takes in what is finished; `job` is the number of the job that
    /// is looked at.
    pub fn follow(&mut self, job: u64, answer: Option<&Answer>, which: Which) {
        self.job = job;
        while let Some(told) = self.thread.answer() {
            self.told = told;
        }
        let Some(answer) = answer else {
            return;
        };
        let request = Request {
            number: job,
            job: Arc::clone(&answer.job),
            findings: Arc::clone(&answer.findings),
            which,
        };
        if !self
            .asked
            .as_ref()
            .is_some_and(|asked| asked.same(&request))
        {
            self.asked = Some(request.clone());
            self.thread.ask(request);
        }
    }

    /// The sum that was asked for last, or while that is worked on the one before it of the same job.
    pub fn sum(&self) -> Option<Shown<'_>> {
        let told = self.told_of_this_job()?;
        Some(Shown {
            sum: &told.sum,
            findings: &told.request.findings,
            current: self.asked.as_ref()?.same(&told.request),
        })
    }

    /// The story of the log behind the answer that was told last; nothing yet where there is none.
    pub fn steps(&self) -> &[Step] {
        self.told_of_this_job()
            .map_or(&[], |told| told.steps.as_slice())
    }

    /// What was told last, unless it is of another job: that may come in late, and is no stand-in for this one's.
    fn told_of_this_job(&self) -> Option<&Told> {
        let told = self.told.as_ref();
        told.filter(|told| told.request.number == self.job)
    }

    /// Waits until nothing is being worked on.
    pub fn settle(&mut self) {
        self.thread.settle();
        while let Some(told) = self.thread.answer() {
            self.told = told;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{diagnosis::diagnose, notebook::parse_job};

    #[test]
    fn the_sum_belongs_to_what_was_asked_last() {
        let text = include_str!("../../sample_circuits/01-ride-height.ron");
        let job = Arc::new(parse_job("sample", text.as_bytes()).unwrap().job);
        let findings = Arc::new(diagnose(&job.question()));
        let answer = Answer::of(job, findings);
        let mut sums = Sums::start(Arc::new(|| ())).unwrap();
        assert!(sums.sum().is_none());
        sums.follow(0, Some(&answer), Which::default());
        sums.settle();
        let first = sums.sum().unwrap();
        assert!(first.current);
        let first = first.sum;
        assert_eq!(first.suspect, Some(0));
        assert!(!first.lines.is_empty());
        let other = Which {
            suspect: Some(1),
            entry: Some(0),
        };
        sums.follow(0, Some(&answer), other);
        let waiting = sums.sum().expect("the last one stays meanwhile");
        assert!(!waiting.current, "and is known to be the last one");
        assert_eq!(waiting.sum.suspect, Some(0));
        sums.settle();
        let second = sums.sum().unwrap();
        assert!(second.current);
        assert_eq!((second.sum.suspect, second.sum.entry), (Some(1), Some(0)));
        sums.follow(1, None, other);
        assert!(sums.sum().is_none(), "it is of another job");
        let of_the_first = sums.told.clone();
        sums.follow(1, Some(&answer), Which::default());
        // Its answer is under way when the other job is looked at, and comes in after that.
        sums.told = of_the_first;
        assert!(sums.sum().is_none());
        assert!(sums.steps().is_empty());
        sums.settle();
        assert!(sums.sum().is_some_and(|shown| shown.current));
        assert!(!sums.steps().is_empty());
    }
}
