//! What the drawing code is given: profile, headline, suspects, log rows, tags.

mod support;

use std::sync::Arc;

use pinchpoint::{
    app::{
        Bench, Log, Model,
        command::EngineReport,
        model::Answer,
        update::update,
        view::{Sort, in_order, log_rows, suspects, tags},
    },
    circuit::{LimitMode, LoadModel, quick_feed},
    diagnosis::{
        Combination, Findings, Group as Alike, Interval, PointFinding, Position, Predicted,
        Suspect, diagnose,
    },
    drawing::{
        END_ROOM_M, Group, layout,
        profile::{Profile, Taken, profile},
    },
    explain::{steps, worked_sum},
    fault::{FaultKind, Site},
    notebook::{Job, parse_job},
    quantity::units::{as_ohms, milliamperes, ohms, volts},
    reading::{Entry, Reading},
};
use support::{
    circuits::chain,
    jobs::{job, point, replay, typing},
};

/// A model with the answer to its job, as the worker would deliver it.
fn answered(job: Job) -> Model {
    let mut model = Model::new(job);
    answer(&mut model);
    model
}

fn answer(model: &mut Model) {
    let findings = diagnose(&model.job.question()).into();
    let report = EngineReport::Found(Answer::of(model.job.clone(), findings));
    update(model, report.into());
}

fn samples() -> Vec<(String, Job)> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/sample_circuits");
    let mut samples: Vec<(String, Job)> = std::fs::read_dir(folder)
        .expect("the samples' folder")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == "ron"))
        .map(|path| {
            let name = path.display().to_string();
            let bytes = std::fs::read(&path).expect("a sample");
            let opened = parse_job(&name, &bytes).expect("a sound sample");
            (name, opened.job)
        })
        .collect();
    samples.sort_by(|a, b| a.0.cmp(&b.0));
    samples
}

fn check_profile(name: &str, job: &Job, profile: &Profile) {
    let harness = layout(&job.circuit, END_ROOM_M);
    assert!(profile.lines[0].trunk, "{name}");
    for line in &profile.lines {
        for levels in [&line.healthy, &line.suspected] {
            assert!(
                levels.windows(2).all(|w| w[0].x <= w[1].x + 1e-9),
                "{name} {line:?}"
            );
            assert!(
                levels.iter().all(|l| l.low <= l.volts && l.volts <= l.high),
                "{name}"
            );
        }
    }
    let leads = harness.leads.iter().filter(|l| l.group == Group::Feed);
    assert_eq!(
        profile.lines.len(),
        leads.filter(|l| l.points.len() > 1).count(),
        "{name}"
    );
}

#[test]
fn every_sample_has_a_profile_rows_and_a_headline() {
    for (name, job) in samples() {
        let model = answered(job);
        let findings = model.current_findings().expect("an answer");
        let profile = profile(&model.job.question(), &model.harness, Some(findings));
        check_profile(&name, &model.job, &profile);
        let rows = log_rows(&model);
        assert_eq!(rows.len(), model.job.log.len());
        for row in rows
            .iter()
            .filter(|row| row.sort == Sort::Reading && !row.set_aside)
        {
            assert!(
                !row.should_read.is_empty() && row.bits.ends_with(" bit"),
                "{name} {row:?}"
            );
        }
        let answer = model.answer.as_ref().expect("an answer");
        let headline = &answer.words.headline;
        assert!(!headline.what.is_empty(), "{name}");
        for row in suspects(answer, 8) {
            assert!(
                (0.0..=1.0).contains(&row.share) && row.probability.ends_with(" %"),
                "{name}"
            );
        }
    }
}

/// One wire of 1 m to a splice and one of 2 m to a sensor; the short lies in the middle of the second.
fn shorted_chain() -> (Job, Findings, f64) {
    let mut circuit = chain(2, 1.0);
    circuit.wires[1].length = Some(pinchpoint::quantity::units::metres(2.0));
    circuit.loads[0].model = LoadModel::Resistive {
        resistance: ohms(100.0),
    };
    let [first, second] = [0, 1].map(|i| as_ohms(circuit.wires[i].resistance()));
    // Ohm's law by hand: 1 A into the short, and what the sensor draws at the volts it is left with.
    let at_short = 1.0;
    let load = at_short / (100.0 + second / 2.0);
    let at_end = at_short - load * second / 2.0;
    let at_splice = at_short + (1.0 + load) * second / 2.0;
    let at_module = at_splice + (1.0 + load) * first;
    let mut findings = diagnose(
        &Job {
            circuit: circuit.clone(),
            ..Job::default()
        }
        .question(),
    );
    findings.points = [
        ("M1.feed", at_module),
        ("SP1", at_splice),
        ("S1.feed", at_end),
    ]
    .map(|(name, volts)| PointFinding {
        point: point(name),
        healthy: Predicted {
            mean: 5.0,
            sd: 0.05,
        },
        hinges: None,
        suspected: Some(Predicted {
            mean: volts,
            sd: 0.01,
        }),
    })
    .to_vec();
    let exactly = |x: f64| Interval {
        low: x,
        median: x,
        high: x,
    };
    findings.suspects = vec![Suspect {
        site: Site::part("W2"),
        kind: FaultKind::ShortToGround,
        probability: 0.94,
        resistance: Some(Interval {
            low: 0.8,
            median: 1.0,
            high: 1.3,
        }),
        position: Some(Position {
            from: point("SP1"),
            to: point("S1.feed"),
            metres: exactly(1.0),
            length: 2.0,
        }),
        group: 0,
    }];
    findings.groups = vec![Alike {
        members: vec![0],
        probability: 0.94,
    }];
    findings.combinations = Vec::new();
    findings.fit.tail = 0.5;
    findings.healthy = 0.01;
    findings.unexplained = 0.01;
    findings.fit.readings = 2;
    (
        Job {
            circuit,
            ..Job::default()
        },
        findings,
        at_short,
    )
}

#[test]
fn the_fall_is_flagged_only_where_the_answer_is_settled_and_something_falls() {
    let (job, findings, _) = shorted_chain();
    let harness = layout(&job.circuit, END_ROOM_M);
    let ends = |findings: &Findings| profile(&job.question(), &harness, Some(findings)).fall_ends;
    assert!(ends(&findings).is_some());
    let mut one_of_several = findings.clone();
    one_of_several.suspects[0].probability = 0.07;
    assert_eq!(ends(&one_of_several), None);
    // With the fault behind an open plug every point reads as it should.
    let mut unplugged = findings;
    for found in &mut unplugged.points {
        found.suspected = Some(found.healthy);
    }
    assert_eq!(ends(&unplugged), None);
}

#[test]
fn suspects_that_the_answer_names_together_stand_together() {
    let (job, mut findings, _) = shorted_chain();
    let one = findings.suspects[0].clone();
    let named = |id: &str, probability: f64, group: usize| Suspect {
        site: Site::part(id),
        probability,
        group,
        ..one.clone()
    };
    findings.suspects = vec![
        named("W6", 0.07, 0),
        named("W1", 0.07, 1),
        named("W2", 0.05, 0),
    ];
    let order: Vec<&str> = (in_order(&findings).into_iter())
        .map(|suspect| suspect.site.part.as_str())
        .collect();
    assert_eq!(order, ["W6", "W2", "W1"]);
    // Faults together are named together, each with its own that cannot be told from it.
    let kind = one.kind;
    findings.combinations = vec![Combination {
        faults: vec![(Site::part("W1"), kind), (Site::part("W6"), kind)],
        probability: 0.05,
    }];
    findings.suspects.push(named("W3", 0.06, 2));
    let of = |findings: &Findings| {
        let named = findings.named().into_iter();
        named
            .map(|suspect| suspect.site.part.clone())
            .collect::<Vec<_>>()
    };
    assert_eq!(of(&findings), ["W1", "W6"], "both are marked");
    let answer = Answer::of(Arc::new(job), Arc::new(findings.clone()));
    let marked: Vec<bool> = suspects(&answer, 3).iter().map(|row| row.named).collect();
    assert_eq!(marked, [true, true, false]);
    let nobody = Findings {
        healthy: 0.9,
        ..findings.clone()
    };
    assert!(of(&nobody).is_empty(), "nothing wrong accuses nobody");
    let order: Vec<&str> = (in_order(&findings).into_iter())
        .map(|suspect| suspect.site.part.as_str())
        .collect();
    assert_eq!(order, ["W6", "W1", "W2", "W3"]);
}

#[test]
fn the_fall_has_a_corner_at_the_short() {
    let (job, findings, at_short) = shorted_chain();
    let harness = layout(&job.circuit, END_ROOM_M);
    let profile = profile(&job.question(), &harness, Some(&findings));
    let end = profile.fall_ends.expect("a short on a wire");
    assert!((end.x - 2.0).abs() < 1e-9);
    assert!((end.volts - at_short).abs() < 1e-9, "{}", end.volts);
    let xs: Vec<f64> = profile.lines[0].suspected.iter().map(|l| l.x).collect();
    assert_eq!(xs, [0.0, 1.0, 2.0, 3.0]);
    let healthy = &profile.lines[0].healthy[0];
    assert!(
        (healthy.high - 5.098).abs() < 1e-9,
        "5 V and 1.96 times 0.05 V"
    );
}

#[test]
fn the_headline_points_at_a_metre_of_the_drawing() {
    let (job, findings, _) = shorted_chain();
    let answer = Answer::of(job.into(), findings.into());
    let headline = &answer.words.headline;
    assert_eq!(headline.what, "Short to ground, about 1 Ω,");
    assert_eq!(headline.place, "on W2 near 2.0 m");
    assert!(
        headline.detail.starts_with("about 1.00 m past SP1 · "),
        "{}",
        headline.detail
    );
    let row = &suspects(&answer, 3)[0];
    assert_eq!(
        (row.label.as_str(), row.probability.as_str()),
        ("W2, SP1 to S1", "94 %")
    );
}

#[test]
fn markers_tell_now_from_other_states_and_from_before_a_repair() {
    let mut model = Model::new(job());
    replay(
        &mut model,
        vec![
            Log::Add(typing("M1.feed", "669m")).into(),
            Log::MarkRepaired {
                part: "W7".into(),
                replaced: false,
                note: String::new(),
            }
            .into(),
            Log::Add(typing("C1.1n", "8.9")).into(),
            Bench::Unplug("C2".into()).into(),
            Log::Add(typing("C1.1n", "8.95..9.05")).into(),
            Bench::KeyCycled(Some(true)).into(),
        ],
    );
    let profile = profile(&model.job.question(), &model.harness, None);
    let taken: Vec<Taken> = profile.markers.iter().map(|m| m.taken).collect();
    assert_eq!(taken, [Taken::BeforeRepair, Taken::OtherState, Taken::Now]);
    let level = profile.markers[2].level;
    // ±(0.5 % + 2 counts of 0.01 V), the default meter's figures by the definition of percent plus counts.
    assert!(
        (level.low - (8.95 - 0.044_75 - 0.02)).abs() < 1e-9,
        "{level:?}"
    );
    assert!((level.volts - 9.0).abs() < 1e-9);
    let read: Vec<_> = tags(&model)
        .into_iter()
        .map(|t| (t.point.to_string(), t.reads))
        .collect();
    assert_eq!(
        read,
        [("C1.1n".to_owned(), Some("8.95 V to 9.05 V".to_owned()))]
    );
}

#[test]
fn rows_of_an_older_answer_stay_only_where_their_line_is_the_same() {
    let mut model = Model::new(job());
    replay(
        &mut model,
        vec![
            Log::Add(typing("M1.feed", "8.9")).into(),
            Log::Add(typing("C1.1n", "8.9")).into(),
        ],
    );
    answer(&mut model);
    assert!(
        log_rows(&model)
            .iter()
            .all(|row| !row.should_read.is_empty())
    );
    replay(
        &mut model,
        vec![Log::Edit(0, typing("M1.feed", "0.6")).into()],
    );
    let known: Vec<bool> = log_rows(&model)
        .iter()
        .map(|r| !r.should_read.is_empty())
        .collect();
    assert_eq!(known, [false, true]);
}

/// Calculated: four sensors of 26 mA draw 104 mA, and the limit is 100 mA give or take a tenth. With it at 110 mA the feed
/// stands at nearly 5 V, at 100 mA or less the loads pull it below their knee.
#[test]
fn what_hinges_on_a_limit_is_told_as_such_by_answer_and_drawing_alike() {
    let mut circuit = quick_feed(volts(5.0), 4, true, false);
    circuit.supplies[0].limit = LimitMode::Constant {
        limit: Some(milliamperes(100.0)),
    };
    circuit.supplies[0].limit_factor = 1.1;
    for load in &mut circuit.loads {
        load.model = LoadModel::Electronic {
            draw: milliamperes(26.0),
            knee: volts(1.0),
        };
    }
    let job = |drawn: f64| {
        let mut circuit = circuit.clone();
        for load in &mut circuit.loads {
            if let LoadModel::Electronic { draw, .. } = &mut load.model {
                *draw = milliamperes(drawn);
            }
        }
        Job {
            circuit,
            log: vec![Entry::Reading(Reading::volts(point("M1.feed"), 4.9))],
            ..Job::default()
        }
    };
    let model = answered(job(26.0));
    let findings = model.current_findings().expect("an answer");
    let line = &findings.readings[0];
    let (low, high) = line.hinges.expect("it hinges on the limit");
    assert!(low < 1.0 && high > 4.7, "{low} to {high} V");
    let tag = &tags(&model)[0];
    let should = tag.should_read.as_deref().unwrap_or_default();
    assert!(should.contains(" to "), "{should}");
    let row = &log_rows(&model)[0].should_read;
    assert!(row.contains(" to "), "{row}");
    let told = steps(&model.job.question(), findings);
    let wrong = |text: &str| text.contains("should be");
    assert!(!told.iter().any(|step| wrong(&step.text)), "{told:?}");
    let sum = worked_sum(&model.job.question(), findings);
    let hinges = |text: &str| text.contains("hinges on the supply's limit");
    assert!(sum.lines.iter().any(|line| hinges(&line.text)), "{sum:?}");
    let said = |place: &str| {
        findings
            .problems
            .iter()
            .any(|p| p.place == place && !p.fatal)
    };
    assert!(said("M1"), "{:?}", findings.problems);
    // Far from the limit nothing hinges on it.
    let model = answered(job(8.0));
    let findings = model.current_findings().expect("an answer");
    assert_eq!(findings.readings[0].hinges, None);
    assert!(findings.points.iter().all(|point| point.hinges.is_none()));
}
