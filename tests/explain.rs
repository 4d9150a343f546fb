//! Findings in words: every printed sum is reckoned again from what is printed, over all samples, suspects and readings.

#[path = "support/sums.rs"]
mod sums;

use std::path::PathBuf;

use pinchpoint::{
    circuit::{Circuit, LimitMode, quick_feed, stock},
    diagnosis::{Findings, Mistake, Predicted, Problem, ReadingFinding, diagnose},
    explain::{
        self, Headline, WorkedSum, headline, reading_lines, readings::mistake as mistake_of,
        sum::figures::Operator, telling, worked_sum, worked_sum_of,
    },
    fault::{FaultKind, Site},
    notebook::{Job, read_job},
    quantity::units::volts,
    reading::{Entry, Kind, Reading, Repair, Value},
};
use sums::{Checked, check_line};

/// Every sample with its findings.
fn samples() -> Vec<(String, Job, Findings)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("sample_circuits");
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("the folder is there")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    paths.sort();
    paths
        .into_iter()
        .map(|path| {
            let job = read_job(&path).expect("a sample opens").job;
            let findings = diagnose(&job.question());
            (path.display().to_string(), job, findings)
        })
        .collect()
}

/// Every sum of a job: each suspect and none, in the state of each reading and the present one.
fn all_sums(job: &Job, findings: &Findings) -> Vec<WorkedSum> {
    let suspects = (0..findings.suspects.len().min(6)).map(Some);
    let entries: Vec<Option<usize>> = (0..job.log.len()).map(Some).chain([None]).collect();
    suspects
        .chain([None])
        .flat_map(|suspect| {
            entries
                .iter()
                .map(move |&entry| worked_sum_of(&job.question(), findings, suspect, entry))
        })
        .collect()
}

/// Checks the printed and the unrounded sums of a worked sum; gives how many there were.
fn check_sum(place: &str, sum: &WorkedSum) -> usize {
    let mut count = 0;
    for line in &sum.lines {
        let checked = check_line(&line.text).unwrap_or_else(|why| panic!("{place}: {why}"));
        if checked == Checked::Sum {
            count += 1;
        }
        assert!(!line.text.contains("NaN"), "{place}: {}", line.text);
        if let Some(equation) = line.equation {
            assert_eq!(checked, Checked::Sum, "{place}: {}", line.text);
            let comes_out = match equation.operator {
                Operator::Plus => equation.left + equation.right,
                Operator::Minus => equation.left - equation.right,
                Operator::Times => equation.left * equation.right,
                Operator::Over => equation.left / equation.right,
            };
            let slack = 1e-9 * (equation.left.abs() + equation.result.abs());
            assert!(
                (comes_out - equation.result).abs() <= slack,
                "{place}: {equation:?}"
            );
        }
    }
    count
}

#[test]
fn every_printed_sum_comes_out_from_what_is_printed() {
    let mut count = 0;
    for (name, job, findings) in samples() {
        for sum in all_sums(&job, &findings) {
            let place = format!("{name} {:?} {:?}", sum.suspect, sum.entry);
            count += check_sum(&place, &sum);
            let is_repair = sum
                .entry
                .is_some_and(|entry| matches!(job.log[entry], Entry::Repair(_)));
            assert_eq!(sum.lines.is_empty(), is_repair, "{place}");
        }
    }
    assert!(count > 300, "{count} sums");
}

#[test]
fn the_sum_behind_a_single_short_ends_at_the_ohms_of_the_findings() {
    use pinchpoint::fault::FaultKind::{DrawsTooMuch, ShortToGround, ShortToRail, UndrawnShort};
    let mut count = 0;
    for (name, job, findings) in samples() {
        let Some(top) = findings.suspects.first() else {
            continue;
        };
        let short = matches!(
            top.kind,
            ShortToGround | ShortToRail | DrawsTooMuch | UndrawnShort
        );
        if !short || top.probability < findings.healthy {
            continue;
        }
        let sum = worked_sum(&job.question(), &findings);
        let last = sum.lines.last().and_then(|line| line.equation);
        let equation = last.unwrap_or_else(|| panic!("{name} ends with a sum"));
        assert_eq!(equation.operator, Operator::Over, "{name}");
        let ohms = top.resistance.expect("a short has ohms");
        assert!(
            equation.result > 0.85 * ohms.low && equation.result < 1.15 * ohms.high,
            "{name}: {} not in {ohms:?}",
            equation.result
        );
        count += 1;
    }
    assert!(count >= 6, "{count} shorts among the samples");
}

#[test]
fn the_solve_behind_a_sum_stands_where_the_meter_stood() {
    let mut count = 0;
    for (name, job, findings) in samples() {
        let top = findings.suspects.first();
        if top.is_none_or(|top| top.probability < findings.healthy) {
            continue;
        }
        for finding in findings.readings.iter().filter(|f| f.mistaken < 0.5) {
            let entry = finding.entry;
            let Entry::Reading(reading) = &job.log[entry] else {
                panic!("{name}: a finding about a reading");
            };
            let Value::Exactly(read) = reading.value else {
                continue;
            };
            let sum = worked_sum_of(&job.question(), &findings, Some(0), Some(entry));
            let way = sum.lines.iter().find(|line| line.text.starts_with("From "));
            let Some(equation) = way.and_then(|line| line.equation) else {
                continue;
            };
            assert!(
                (equation.left - read).abs() < 0.01 * read,
                "{name} {entry}: {} for {read}",
                equation.left
            );
            count += 1;
        }
    }
    assert!(count >= 10, "{count} readings away from the fault");
}

#[test]
fn the_sum_is_told_in_the_state_of_a_reading_that_shows_the_fault() {
    for (name, job, findings) in samples() {
        let top = findings.suspects.first();
        let suspect = top
            .filter(|top| top.probability > findings.healthy)
            .map(|_| 0);
        let Some(entry) = telling(&job.question(), &findings, suspect) else {
            panic!("{name}: no reading is told");
        };
        let finding = findings
            .readings
            .iter()
            .find(|finding| finding.entry == entry)
            .expect("a used reading");
        assert!(finding.mistaken < 0.5, "{name}");
        let sum = worked_sum(&job.question(), &findings);
        assert_eq!((sum.suspect, sum.entry), (suspect, Some(entry)), "{name}");
        let head = format!("Reading {}, ", entry + 1);
        assert!(sum.lines[0].text.starts_with(&head), "{name}");
    }
}

#[test]
fn a_headline_ends_with_its_place_and_is_never_certain() {
    for (name, job, findings) in samples() {
        let Headline {
            line,
            place,
            detail,
        } = headline(&job.question(), &findings);
        assert!(line.ends_with(&place), "{name}: {line} / {place}");
        assert!(!line.ends_with('.') && line.starts_with(char::is_uppercase));
        for text in [&line, &detail] {
            assert!(!text.contains("100 %") && !text.contains(" 0 %"), "{text}");
        }
        let top = findings.suspects.first();
        if top.is_some_and(|top| top.probability > findings.healthy) {
            assert!(detail.contains("likely"), "{name}: {detail}");
        }
    }
}

#[test]
fn every_reading_of_the_log_has_a_line() {
    for (name, job, findings) in samples() {
        let lines = reading_lines(&job.question(), &findings);
        let readings = job
            .log
            .iter()
            .filter(|entry| matches!(entry, Entry::Reading(_)))
            .count();
        assert_eq!(lines.len(), readings, "{name}");
        for line in lines {
            assert!(!line.point.is_empty() && !line.reads.is_empty());
            let used = findings.readings.iter().any(|f| f.entry == line.entry);
            assert_eq!(used, line.unused.is_none(), "{name} {}", line.entry);
            assert_eq!(used, line.speaks.ends_with(" bit"), "{name} {line:?}");
        }
    }
}

/// Common practice, no source: what every job is told, whatever is drawn.
#[test]
fn the_makers_procedure_lamps_and_ohms_are_always_named() {
    for (name, job, findings) in samples() {
        let cautions = explain::cautions(&job.question(), &findings);
        for needed in ["maker's procedure", "lamp", "Ohms only with the supply off"] {
            let told = cautions.iter().any(|caution| caution.text.contains(needed));
            assert!(told, "{name}: {needed}");
        }
    }
}

/// A sample with its findings, to be changed at will.
fn sample(name: &str) -> (Job, Findings) {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("sample_circuits");
    let path = folder.join(format!("{name}.ron"));
    let job = read_job(&path).expect("a sample of that name").job;
    let findings = diagnose(&job.question());
    (job, findings)
}

#[test]
fn without_readings_the_first_one_is_asked_for() {
    let (mut job, _) = sample("01-ride-height");
    job.log.clear();
    let findings = diagnose(&job.question());
    let line = headline(&job.question(), &findings).line;
    assert!(
        line.starts_with("No readings yet: log one where it is easy to reach"),
        "{line}"
    );
    let sum = worked_sum(&job.question(), &findings);
    assert_eq!(
        (sum.entry, sum.lines.len()),
        (None, 0),
        "nothing to add up yet"
    );
    assert!(findings.resistance.is_empty() && findings.densities.is_empty());
    assert!(
        findings
            .points
            .iter()
            .all(|point| point.suspected.is_none())
    );
    assert_eq!(explain::steps(&job.question(), &findings), []);
}

#[test]
fn the_headline_is_no_surer_than_the_findings() {
    let (job, sure) = sample("01-ride-height");
    let question = job.question();
    let line = |change: &dyn Fn(&mut Findings)| {
        let mut findings = sure.clone();
        change(&mut findings);
        headline(&question, &findings)
    };
    let unsure = line(&|findings| {
        findings.suspects[0].probability = 0.4;
        let group = findings.suspects[0].group;
        findings.groups[group].probability = 0.4;
    });
    assert!(
        unsure
            .line
            .starts_with("Not sure yet; likeliest is short to ground, about "),
        "{unsure:?}"
    );
    assert!(unsure.detail.contains("40 % likely"), "{unsure:?}");
    let misfit = line(&|findings| findings.fit.tail = 1e-4);
    assert!(misfit.line.starts_with("Does not fit well"), "{misfit:?}");
    let nothing = line(&|findings| {
        findings.unexplained = 0.9;
        findings.suspects.clear();
        findings.groups.clear();
        findings.healthy = 1e-6;
    });
    assert_eq!(
        nothing.line,
        "Nothing on this sketch explains these readings"
    );
    let well = line(&|findings| {
        findings.healthy = 0.9;
        findings.suspects[0].probability = 0.05;
    });
    assert_eq!(well.line, "Nothing wrong that these readings can see");
    let broken = line(&|findings| {
        findings.problems.push(Problem {
            place: "W7".to_owned(),
            what: "length is 0 m".to_owned(),
            remedy: "give a number".to_owned(),
            fatal: true,
        });
    });
    assert_eq!(
        (broken.line.as_str(), broken.detail.as_str()),
        ("No answer yet: W7, length is 0 m", "give a number")
    );
}

/// Common practice, no source: a module is accused only when its pin was read alone.
#[test]
fn a_module_is_not_accused_before_its_pin_was_read_alone() {
    let (job, mut findings) = sample("01-ride-height");
    findings.suspects[0].site = Site::part("M1");
    findings.suspects[0].kind = FaultKind::SupplyLow;
    findings.suspects[0].position = None;
    findings.suspects[0].resistance = None;
    findings.combinations.clear();
    let said = headline(&job.question(), &findings);
    assert_eq!(said.line, "Too few volts are given by M1");
    let gate = "M1 is not accused before its pin was read with C1 unplugged";
    assert!(said.detail.contains(gate), "{}", said.detail);
}

#[test]
fn what_cannot_be_told_apart_is_said_to_be_so() {
    let (job, findings) = sample("02-crane-boom");
    let said = headline(&job.question(), &findings);
    assert!(said.line.contains("S2 or X2 pin 1"), "{}", said.line);
    let told = "cannot be told apart by any reachable test: S2 (";
    assert!(said.detail.contains(told), "{}", said.detail);
}

#[test]
fn a_mistaken_reading_is_asked_about() {
    let (job, findings) = sample("12-one-line-wrong");
    let lines = reading_lines(&job.question(), &findings);
    let sentences: Vec<&str> = lines.iter().filter_map(|l| l.mistake.as_deref()).collect();
    assert_eq!(
        sentences,
        ["Reading 3 contradicts the others: it should be about 448 mV; was it taken in mV?"]
    );
    let reading = Reading::volts("X1.1n".parse().expect("a point"), 0.0);
    let ask = |mistake, unplugged: &[&str]| {
        let mut reading = reading.clone();
        reading.state.unplugged = unplugged.iter().map(|&id| id.to_owned()).collect();
        let finding = ReadingFinding {
            entry: 3,
            healthy: Predicted { mean: 5.0, sd: 0.1 },
            hinges: None,
            suspected: Some(Predicted {
                mean: 0.65,
                sd: 0.01,
            }),
            bits: 0.0,
            mistaken: 0.8,
            mistake: Some(mistake),
        };
        mistake_of(3, &reading, &finding).expect("a sentence")
    };
    let plugs = |ids: &[&str]| Mistake::PlugState {
        connectors: ids.iter().map(|&id| id.to_owned()).collect(),
    };
    for (mistake, unplugged, end) in [
        (Mistake::NoContact, &[][..], "did the probe touch?"),
        (Mistake::Unexplained, &[], "take it again, or set it aside"),
        (plugs(&["X2"]), &[], "was X2 unplugged?"),
        (plugs(&["X2"]), &["X2"], "was X2 still plugged?"),
        (
            plugs(&["X2", "X3"]),
            &["X2"],
            "were X2 still plugged and X3 unplugged?",
        ),
        (
            Mistake::UnitSlip { should_be: 0.65 },
            &[],
            "650 mV would fit",
        ),
    ] {
        let sentence = ask(mistake, unplugged);
        let begins = "Reading 4 contradicts the others: it should be about 650 mV; ";
        assert_eq!(sentence, format!("{begins}{end}"));
    }
}

/// Common practice, no source.
#[test]
fn cautions_follow_from_what_is_drawn() {
    let (job, findings) = sample("01-ride-height");
    let told = |change: &dyn Fn(&mut Circuit)| {
        let mut job = job.clone();
        change(&mut job.circuit);
        let cautions = explain::cautions(&job.question(), &findings);
        let grave: Vec<String> = cautions
            .iter()
            .filter(|caution| caution.grave)
            .flat_map(|caution| caution.parts.clone())
            .collect();
        let all: Vec<String> = cautions.into_iter().map(|caution| caution.text).collect();
        (grave, all.join("\n"))
    };
    // The sample has an air tank, which is no fuel tank.
    assert_eq!(told(&|_| ()).0, Vec::<String>::new());
    let name =
        |text: &'static str| move |circuit: &mut Circuit| circuit.loads[0].name = text.into();
    for (text, needed) in [
        ("driver airbag", "Restraint circuits"),
        ("belt pretensioner", "Restraint circuits"),
        ("high-voltage interlock", "trained people only"),
        ("HV isolation", "trained people only"),
        ("fuel level", "Fuel vapour"),
        ("tank pressure", "Fuel vapour"),
    ] {
        let (grave, all) = told(&name(text));
        assert!(grave.contains(&"S1".to_owned()), "{text}: {grave:?}");
        assert!(all.contains(needed), "{text}: {all}");
    }
    for text in ["washer tank", "shv sensor", "refuelling counter"] {
        assert_eq!(told(&name(text)).0, Vec::<String>::new(), "{text}");
    }
    let bundle = told(&|circuit| circuit.wires[0].bundle = "airbag loom".into());
    assert_eq!(bundle.0, ["W1"]);
    let latch = told(&|circuit| circuit.supplies[0].latches = true).1;
    assert!(latch.contains("M1 can latch off"), "{latch}");
    let sealed = told(&|circuit| circuit.connectors[1].sealed = true).1;
    assert!(
        sealed.contains("C2 is sealed: do not back-probe"),
        "{sealed}"
    );
}

/// Calculated: the short of the first sample, mended; the readings before keep their sums.
#[test]
fn after_a_repair_the_old_readings_keep_their_sums() {
    let (mut job, _) = sample("01-ride-height");
    job.log.push(Entry::Repair(Repair {
        part: "W7".to_owned(),
        replaced: false,
        note: String::new(),
    }));
    for point in ["M1.feed", "X3.1n", "X5.1n"] {
        let volts = if point == "M1.feed" { 8.93 } else { 8.92 };
        job.log.push(Entry::Reading(Reading::volts(
            point.parse().expect("a point"),
            volts,
        )));
    }
    let findings = diagnose(&job.question());
    let line = headline(&job.question(), &findings).line;
    assert_eq!(line, "Nothing wrong that these readings can see");
    let steps = explain::steps(&job.question(), &findings);
    let after = "After W7 was repaired, M1 feed pin reads 8.93 V, as it should.";
    assert!(steps.iter().any(|step| step.text == after), "{steps:?}");
    for sum in all_sums(&job, &findings) {
        check_sum("after the repair", &sum);
    }
}

/// Whatever was read, in whatever state: the words hold together and every sum comes out.
#[test]
fn readings_that_make_no_sense_are_told_without_stumbling() {
    let mut seed = 7u64;
    let mut draw = |most: u64| {
        // Knuth's multiplicative congruential generator (The Art of Computer Programming 2, 3.3.4, line 26).
        seed = seed
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) % most
    };
    for case in 0..24 {
        let mut circuit = quick_feed(volts(5.0), 3, case % 2 == 0, case % 3 == 0);
        circuit.supplies[0].limit = match case % 4 {
            0 => LimitMode::None,
            1 => LimitMode::Unknown,
            2 => LimitMode::Constant { limit: None },
            _ => LimitMode::Foldback {
                limit: None,
                short_circuit: None,
            },
        };
        circuit.supplies[0].sinks = case % 5 != 0;
        circuit.rails.push(stock::rail("B1", volts(12.6)));
        let points = circuit.points();
        let mut log = Vec::new();
        for _ in 0..5 {
            let point = points[draw(points.len() as u64) as usize].clone();
            let mut reading = Reading::volts(point, draw(1300) as f64 / 100.0);
            if draw(2) == 0 {
                reading.state.unplugged.insert(format!("X{}", 1 + draw(3)));
            }
            if draw(4) == 0 {
                reading.kind = Kind::Ohms;
                reading.value = Value::Exactly(draw(100_000) as f64 / 10.0);
            }
            if draw(6) == 0 {
                reading.value = Value::OverRange { above: None };
            }
            log.push(Entry::Reading(reading));
        }
        let job = Job {
            circuit,
            log,
            ..Job::default()
        };
        let findings = diagnose(&job.question());
        let said = headline(&job.question(), &findings);
        assert!(said.line.ends_with(&said.place), "{case}: {said:?}");
        for sum in all_sums(&job, &findings) {
            check_sum(&format!("case {case}"), &sum);
        }
        for step in explain::steps(&job.question(), &findings) {
            assert!(step.text.ends_with('.'), "{case}: {step:?}");
            assert!(step.entries.is_sorted(), "{case}: {step:?}");
        }
    }
}
