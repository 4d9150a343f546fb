//! One line of JSON per job: the findings and what they are in words, or `{"file", "error"}` when there are none.

use serde::Serialize;

use crate::{
    advise::{Best, Opening, Rest, Test},
    diagnosis::Findings,
    explain::{
        Caution, Headline, Step, TestWords, WorkedSum, cautions, headline, next_words, steps,
        worked_sum,
    },
    notebook::{FileError, Job},
};

#[derive(Serialize)]
struct Answer<'a> {
    file: &'a str,
    title: &'a str,
    headline: Headline,
    sum: WorkedSum,
    steps: Vec<Step>,
    next: Next<'a>,
    next_tests: Vec<NextTest<'a>>,
    cautions: Vec<Caution>,
    findings: &'a Findings,
}

/// What is best now.
#[derive(Serialize)]
struct Next<'a> {
    best: Best,
    line: String,
    reason: String,
    bits: f64,
    opening_minutes: f64,
    opening: &'a [Opening],
    opening_rest: Rest,
}

/// A test with its words.
#[derive(Serialize)]
struct NextTest<'a> {
    #[serde(flatten)]
    test: &'a Test,
    words: TestWords,
}

#[derive(Serialize)]
struct Failure<'a> {
    file: &'a str,
    error: Told<'a>,
}

#[derive(Serialize)]
struct Told<'a> {
    line: Option<u32>,
    column: Option<u32>,
    field: &'a str,
    what: &'a str,
    remedy: &'a str,
}

/// The findings of a job.
///
/// # Errors
/// Only what the JSON writer says.
pub fn answer(file: &str, job: &Job, findings: &Findings) -> serde_json::Result<String> {
    let question = job.question();
    let words = next_words(&question, findings);
    let advice = &findings.next;
    serde_json::to_string(&Answer {
        file,
        title: &job.title,
        headline: headline(&question, findings),
        sum: worked_sum(&question, findings),
        steps: steps(&question, findings),
        next: Next {
            best: advice.best,
            line: words.line,
            reason: words.reason,
            bits: advice.bits,
            opening_minutes: advice.opening_minutes,
            opening: &advice.opening,
            opening_rest: advice.opening_rest,
        },
        next_tests: (advice.tests.iter().zip(words.tests))
            .map(|(test, words)| NextTest { test, words })
            .collect(),
        cautions: cautions(&question, findings),
        findings,
    })
}

/// Why there are no findings.
///
/// # Errors
/// Only what the JSON writer says.
pub fn failure(file: &str, error: &FileError) -> serde_json::Result<String> {
    serde_json::to_string(&Failure {
        file,
        error: Told {
            line: error.place.map(|(line, _)| line),
            column: error.place.map(|(_, column)| column),
            field: &error.field,
            what: &error.what,
            remedy: &error.remedy,
        },
    })
}
