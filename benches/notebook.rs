//! A notebook of 10,000 jobs: how long a list and a search take, how long it takes to open, and how much memory it needs.
//! The aims are 50 ms for list and search, and 200 MB.

use std::{fs, hint::black_box, path::Path, time::Instant};

use criterion::{Criterion, criterion_group, criterion_main};
use pinchpoint::notebook::{Job, Shelf, format_job, parse_job, record::Code, shelf::Card};

const JOBS: usize = 10_000;

/// A job like the sample, with words of its own; the numbers come from a fixed sequence.
fn job(sample: &Job, number: usize) -> Job {
    const WORDS: [&str; 12] = [
        "boom",
        "sill",
        "cross-member",
        "wet",
        "chafed",
        "corroded",
        "intermittent",
        "winter",
        "painted",
        "towed",
        "levelling",
        "pressure",
    ];
    let word = |n: usize| WORDS[(number * 7 + n * 5 + number / 11) % WORDS.len()];
    let mut job = sample.clone();
    job.title = format!("CT-{number:05} · {} {}", word(0), word(1));
    job.vehicle = format!("Corran Tender {}.{}", number % 9, number % 7);
    job.notes = format!(
        "{} behind the {} after {} days",
        word(2),
        word(3),
        number % 97
    );
    job.record.codes = vec![Code {
        code: format!("C1{:03X}-11", number % 4096),
        ..Code::default()
    }];
    job
}

fn sample() -> Job {
    let text = include_str!("../sample_circuits/01-ride-height.ron");
    parse_job("sample", text.as_bytes())
        .expect("the sample reads")
        .job
}

fn notebook(criterion: &mut Criterion) {
    let sample = sample();
    opening(&sample);
    let cards: Vec<Card> = (0..JOBS)
        .map(|n| Card::of(format!("{n:05}.ron"), &job(&sample, n)))
        .collect();
    let shelf = Shelf::of(Path::new("jobs"), cards, Vec::new());
    for (name, question) in [
        ("list", ""),
        ("one word", "chafed"),
        ("a slip of the pen", "corrodde"),
        ("three words in fields", "vehicle:tender code:C1A22 sill"),
        ("a word that is nowhere", "zeppelin"),
    ] {
        criterion.bench_function(&format!("10,000 jobs: {name}"), |bench| {
            bench.iter(|| black_box(shelf.search(question).expect("a question").len()));
        });
    }
}

/// Opening is timed once, cold and with the cards remembered, in a process that holds nothing else: it reads and writes
/// files. The aim is less than 200 MB for ten thousand jobs.
fn opening(sample: &Job) {
    let folder = tempfile::tempdir().expect("a folder");
    for number in 0..JOBS {
        let text = format_job("job", &job(sample, number)).expect("a text");
        let path = folder.path().join(format!("{number:05}.ron"));
        fs::write(path, text).expect("written");
    }
    println!("before opening: {}", memory());
    for how in ["read from the files", "remembered"] {
        let start = Instant::now();
        let shelf = Shelf::open(folder.path()).expect("read");
        println!(
            "opening {} jobs, {how}: {:?}; {}",
            shelf.cards.len(),
            start.elapsed(),
            memory()
        );
    }
}

/// Resident memory now and at its highest, as the system has it.
fn memory() -> String {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let of = |name: &str| {
        let line = status.lines().find(|line| line.starts_with(name));
        let size = line.and_then(|line| line.split_whitespace().nth(1)?.parse::<u64>().ok());
        size.map_or_else(|| "unknown".to_owned(), |kb| format!("{} MB", kb / 1000))
    };
    format!("{} resident, {} at most", of("VmRSS"), of("VmHWM"))
}

criterion_group!(benches, notebook);
criterion_main!(benches);
