//! An answer with the job it belongs to and its words, which are put together once and not in every frame.

use std::sync::Arc;

use super::view::{Headline, headline};
use crate::{
    diagnosis::{Findings, Suspect},
    drawing::{END_ROOM_M, layout},
    explain::{
        Caution, NextWords, ProofWords, ReadingLine, Torn, cautions, next_words, proof_words,
        reading_lines, torn,
    },
    notebook::Job,
};

/// Findings and the job they belong to.
#[derive(Clone, Debug)]
pub struct Answer {
    /// The findings.
    pub findings: Arc<Findings>,
    /// The job as it was when they were asked for.
    pub job: Arc<Job>,
    /// The findings in words.
    pub words: Arc<Words>,
}

/// What the bench says of an answer.
#[derive(Clone, Debug)]
pub struct Words {
    /// The answer in a sentence, on the metres of the drawing.
    pub headline: Headline,
    /// What to do next.
    pub next: NextWords,
    /// What each reading says.
    pub lines: Vec<ReadingLine>,
    /// What to be careful with, the gravest first.
    pub cautions: Vec<Caution>,
    /// The proof of the last repair; none where nothing was repaired.
    pub proof: Option<ProofWords>,
    /// What no module feeds; none where the sketch hangs together.
    pub torn: Option<Torn>,
}

impl Answer {
    /// Puts an answer into words. Costs a layout of the sketch and the sentences, so it is done beside the window.
    pub fn of(job: Arc<Job>, findings: Arc<Findings>) -> Self {
        let question = job.question();
        let words = Words {
            headline: headline(&job, &findings, &layout(&job.circuit, END_ROOM_M)),
            next: next_words(&question, &findings),
            lines: reading_lines(&question, &findings),
            cautions: cautions(&question, &findings),
            proof: proof_words(&question, &findings),
            torn: torn(&job.circuit),
        };
        Self {
            words: Arc::new(words),
            findings,
            job,
        }
    }

    /// The suspects that the headline names; none where it names a part of the feed.
    pub fn named(&self) -> Vec<&Suspect> {
        if self.words.headline.region {
            return Vec::new();
        }
        self.findings.named()
    }
}
