//! The sample circuits: each is a job file as the program itself would write it, and each log leads to the fault
//! that was put in when its readings were computed.

use std::{fs, path::PathBuf};

use pinchpoint::{
    diagnosis::{Findings, Interval, diagnose},
    fault::FaultKind,
    notebook::{Job, format_job, parse_job},
};

fn samples() -> Vec<(String, String, Job)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("sample_circuits");
    let mut samples: Vec<_> = fs::read_dir(folder)
        .expect("the folder is there")
        .map(|entry| entry.expect("an entry").path())
        // A folder that was listed as a notebook holds cards beside its jobs.
        .filter(|path| path.extension().is_some_and(|ending| ending == "ron"))
        .map(|path| {
            let name = path
                .file_name()
                .expect("a name")
                .to_string_lossy()
                .into_owned();
            let text = fs::read_to_string(&path).expect("text");
            let opened =
                parse_job(&name, text.as_bytes()).unwrap_or_else(|error| panic!("{error}"));
            assert!(opened.sealed, "{name} has its checksum");
            (name, text, opened.job)
        })
        .collect();
    samples.sort_by(|a, b| a.0.cmp(&b.0));
    samples
}

#[test]
fn every_sample_is_written_as_the_program_writes_it() {
    let samples = samples();
    assert!(samples.len() >= 9, "{} samples", samples.len());
    for (name, text, job) in samples {
        assert!(
            format_job(&name, &job).expect("can be written") == text,
            "{name} is not as the program writes it"
        );
        for (field, value) in [
            ("title", &job.title),
            ("vehicle", &job.vehicle),
            ("notes", &job.notes),
        ] {
            assert!(!value.is_empty(), "{name} has no {field}");
        }
        assert!(job.log.len() >= 4, "{name} has a log");
    }
}

/// What was put into a sample's circuit when its readings were computed.
struct Truth {
    /// Beginning of the file's name.
    sample: &'static str,
    /// Things and what is wrong with them; none where nothing is.
    faults: &'static [(&'static str, FaultKind)],
    /// Ohms of the first fault.
    ohms: Option<f64>,
    /// Metres from the near end of the first fault's wire.
    metres: Option<f64>,
    /// Log line, from 1, that was noted wrongly.
    mistaken: Option<usize>,
}

const fn truth(sample: &'static str, faults: &'static [(&'static str, FaultKind)]) -> Truth {
    Truth {
        sample,
        faults,
        ohms: None,
        metres: None,
        mistaken: None,
    }
}

/// The readings were computed by a separate nodal solver with each part drawn within its tolerance, the meter's
/// error added and the value rounded to its step; this is what it was given.
const TRUTHS: [Truth; 13] = [
    Truth {
        ohms: Some(4.6),
        metres: Some(1.488),
        ..truth("01", &[("W7", FaultKind::ShortToGround)])
    },
    Truth {
        ohms: Some(2.2),
        ..truth("02", &[("S2", FaultKind::DrawsTooMuch)])
    },
    Truth {
        ohms: Some(1.9),
        metres: Some(2.088),
        ..truth("03", &[("W4", FaultKind::ShortToGround)])
    },
    Truth {
        ohms: Some(20.0),
        metres: Some(0.665),
        ..truth("04", &[("W2", FaultKind::ShortToGround)])
    },
    Truth {
        ohms: Some(60.0),
        ..truth("05", &[("C1 pin 1", FaultKind::HighResistance)])
    },
    truth("06", &[("W6", FaultKind::Open)]),
    truth("07", &[]),
    truth("08", &[]),
    Truth {
        ohms: Some(10.0),
        ..truth(
            "09",
            &[
                ("S2", FaultKind::DrawsTooMuch),
                ("W5", FaultKind::ShortToGround),
            ],
        )
    },
    Truth {
        ohms: Some(1000.0),
        ..truth("10", &[("W2 to B1", FaultKind::ShortToRail)])
    },
    Truth {
        ohms: Some(4.1),
        ..truth("11", &[("SP1", FaultKind::UndrawnShort)])
    },
    Truth {
        ohms: Some(3.3),
        metres: Some(1.89),
        mistaken: Some(3),
        ..truth("12", &[("W4", FaultKind::ShortToGround)])
    },
    // The first sample after its repair. The five last readings are 9 V less what 23.9 mA, the sum of its sensors'
    // draws by Ohm's law, lose in 3.5 Ω and the wires, with the meter's error added by hand.
    truth("13", &[]),
];

/// What of a truth the findings miss.
fn missed(truth: &Truth, findings: &Findings) -> Vec<String> {
    let mut missed = Vec::new();
    if let Some(problem) = findings.problems.iter().find(|problem| problem.fatal) {
        missed.push(format!("no answer: {}", problem.what));
    }
    let top = findings.suspects.first().map_or(0.0, |s| s.probability);
    if truth.faults.is_empty() && findings.healthy < top {
        missed.push(format!("healthy {} against {top}", findings.healthy));
    }
    for (index, (site, kind)) in truth.faults.iter().enumerate() {
        let Some(suspect) = findings
            .suspects
            .iter()
            .find(|s| s.site.to_string() == *site && s.kind == *kind)
        else {
            missed.push(format!("{kind:?} at {site} is not suspected"));
            continue;
        };
        // The suspect itself is the likeliest, or it cannot be told apart from the likeliest. Of several faults
        // each must be likelier present than not.
        let likeliest = findings.groups[findings.suspects[0].group]
            .members
            .iter()
            .any(|&member| findings.suspects[member] == *suspect);
        if (truth.faults.len() == 1 && !likeliest)
            || (truth.faults.len() > 1 && suspect.probability < 0.5)
        {
            missed.push(format!("{kind:?} at {site}: {}", suspect.probability));
        }
        let within = |value: f64, interval: &Interval| {
            (interval.low * 0.95..=interval.high * 1.05).contains(&value)
        };
        if index > 0 {
            continue;
        }
        if let Some(ohms) = truth.ohms
            && !suspect.resistance.is_some_and(|r| within(ohms, &r))
        {
            missed.push(format!("{ohms} Ω against {:?}", suspect.resistance));
        }
        if let Some(metres) = truth.metres
            && !suspect
                .position
                .as_ref()
                .is_some_and(|p| within(metres, &p.metres))
        {
            missed.push(format!("{metres} m against {:?}", suspect.position));
        }
    }
    for reading in &findings.readings {
        let wrong = truth.mistaken == Some(reading.entry + 1);
        if wrong != (reading.mistaken > 0.5) {
            missed.push(format!(
                "line {}: mistaken {}",
                reading.entry + 1,
                reading.mistaken
            ));
        }
    }
    missed
}

#[test]
fn every_sample_leads_to_the_fault_that_was_put_in() {
    let samples = samples();
    assert_eq!(samples.len(), TRUTHS.len());
    let failures: Vec<_> = samples
        .iter()
        .zip(&TRUTHS)
        .map(|((name, _, job), truth)| {
            assert!(name.starts_with(truth.sample), "{name}");
            (name, missed(truth, &diagnose(&job.question())))
        })
        .filter(|(_, missed)| !missed.is_empty())
        .collect();
    assert!(failures.is_empty(), "{failures:#?}");
}
