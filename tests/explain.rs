//! Findings in words: headlines, lines of the log, cautions, over all samples.

#[path = "support/samples.rs"]
mod samples;

use std::sync::Arc;

use pinchpoint::{
    app::{model::Answer, view::suspects},
    circuit::{Circuit, Point, Terminal, check::unfed, quick_feed},
    diagnosis::{Findings, Group, Mistake, Predicted, Problem, ReadingFinding, Suspect, diagnose},
    explain::{
        self, Headline, headline, reading_lines, readings::mistake as mistake_of, worked_sum,
    },
    fault::{FaultKind, Site},
    notebook::Job,
    practice::{Hidden, World},
    quantity::units::volts,
    reading::{Entry, Kind, Meter, Reading, State},
};
use samples::{sample, samples};

#[test]
fn a_headline_ends_with_its_place_and_is_never_certain() {
    for (name, job, findings) in samples() {
        let Headline {
            line,
            place,
            detail,
            probability,
            ..
        } = headline(&job.question(), &findings);
        assert!(line.ends_with(&place), "{name}: {line} / {place}");
        assert_eq!(place.is_empty(), probability.is_none(), "{name}: {line}");
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
    assert!(!unsure.is_settled());
    // One of several: its share comes before its name (the program's own wording).
    let several = line(&|findings| {
        findings.suspects[0].probability = 0.19;
        let group = findings.suspects[0].group;
        findings.groups[group].probability = 0.19;
    });
    let words = "Several faults are possible; likeliest, with 19 %, is short to ground, about ";
    assert!(several.line.starts_with(words), "{several:?}");
    assert!(!several.is_settled() && headline(&question, &sure).is_settled());
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
    let told = "no reading against battery negative tells these apart: S2 (";
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

/// A sensor that hangs in the air on its feed side is not fed by its return (the sketch of four sensors with returns of
/// their own, one feed wire taken out).
#[test]
fn what_no_module_feeds_is_named_with_the_remedy() {
    let mut circuit = quick_feed(volts(5.0), 4, true, true);
    assert_eq!(explain::torn(&circuit), None);
    let feed = "X3.1n".parse().expect("a point");
    circuit.wires.retain(|wire| wire.to != feed);
    assert_eq!(unfed(&circuit), ["S3"]);
    let torn = explain::torn(&circuit).expect("it is in pieces");
    assert_eq!(torn.what, "No module feeds S3: the answer leaves it out.");
    let mut circuit = quick_feed(volts(5.0), 12, true, false);
    let trunk = "SP1".parse().expect("a point");
    circuit.wires.retain(|wire| wire.to != trunk);
    let torn = explain::torn(&circuit).expect("it is in pieces");
    assert!(
        torn.what.ends_with("more: the answer leaves them out."),
        "{torn:?}"
    );
    assert!(torn.parts.len() > 30 && torn.what.len() < 120, "{torn:?}");
}

/// A quick start's feed with a short of 4.7 Ω put into one wire, read at the module's pin with everything plugged, with one
/// connector parted and with one sensor off: readings off the simulated vehicle, as nobody can tell the wires apart by these.
#[test]
fn where_many_places_are_left_the_part_of_the_feed_that_holds_them_is_named_first() {
    let mut circuit = quick_feed(volts(5.0), 12, true, false);
    circuit.connectors[0].place = "left sill".to_owned();
    let told = |part: &str, off: &[&str]| {
        let short = Hidden::new(Site::part(part), FaultKind::ShortToGround, 4.7).at(0.5);
        let world = World::exact(&circuit, &[short], &Meter::default());
        let mut world = world.expect("a wire can have it");
        let (red, black) = (
            Point::new("M1", Terminal::Feed(1)),
            Point::battery_negative(),
        );
        let log: Vec<Entry> = (off.iter())
            .map(|id| {
                let unplugged = (!id.is_empty()).then(|| (*id).to_owned());
                let state = State {
                    unplugged: unplugged.into_iter().collect(),
                    ..State::default()
                };
                let value = world.measure(Kind::Volts, &red, &black, &state);
                Entry::Reading(Reading {
                    value: value.expect("it can be read"),
                    state,
                    ..Reading::volts(red.clone(), 0.0)
                })
            })
            .collect();
        let job = Job {
            circuit: circuit.clone(),
            log,
            ..Job::default()
        };
        let findings = diagnose(&job.question());
        (headline(&job.question(), &findings), job, findings)
    };
    let beyond = circuit.wires[circuit.wires.len() / 2].id.clone();
    let (said, job, mut findings) = told(&beyond, &["", "C1", "X1"]);
    let likeliest = findings.suspects[0].clone();
    let most = likeliest.probability;
    assert!(most < 0.35, "{most}");
    assert!(said.line.starts_with("Short to ground, "), "{}", said.line);
    assert_eq!(said.place, "beyond C1", "{}", said.line);
    assert!(said.probability.expect("a fault") > 0.9);
    for words in [
        "R ",
        "C1: left sill",
        "likeliest single place there: ",
        "likely",
    ] {
        assert!(said.detail.contains(words), "“{words}” in {}", said.detail);
    }
    // A likelier place outside of it, which cannot be told from its neighbour, is not the likeliest there.
    assert!(findings.suspects.iter().all(|one| one.probability <= most));
    findings.groups.iter_mut().for_each(|group| {
        group.members.iter_mut().for_each(|member| *member += 1);
    });
    let outside = Suspect {
        site: Site::part("W1"),
        probability: 1.1 * most,
        group: findings.groups.len(),
        ..likeliest.clone()
    };
    findings.suspects.insert(0, outside);
    findings.groups.push(Group {
        members: vec![0, findings.suspects.len() - 1],
        probability: 1.2 * most,
    });
    let said = headline(&job.question(), &findings);
    assert_eq!(said.place, "beyond C1", "{}", said.line);
    let single = format!("likeliest single place there: {}", likeliest.site.part);
    assert!(said.detail.contains(&single), "{}", said.detail);
    assert!(!said.detail.contains("W1 ("), "{}", said.detail);
    // No single place is marked as the one that is named.
    let answer = Answer::of(Arc::new(job), Arc::new(findings));
    assert!(suspects(&answer, 9).iter().all(|row| !row.named));
    // Where parting it changes nothing, the fault is before it, and one wire is left there.
    let (said, ..) = told("W1", &["", "C1", "X1"]);
    assert!(!said.line.contains("beyond"), "{}", said.line);
}
