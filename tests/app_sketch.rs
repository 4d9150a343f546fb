//! Sketch commands and what they do to log and bench.

mod support;

use std::sync::Arc;

use pinchpoint::{
    app::{Bench, Command, Log, Model, PartData, Screen, Sketch, update::update},
    circuit::{
        check,
        edit::{Addition, Inline},
        outline::outline,
    },
    notebook::Job,
    quantity::units::{as_metres, ohms},
    reading::Entry,
};
use proptest::prelude::*;
use support::jobs::{job, point, replay, typing};

fn aside(model: &Model) -> Vec<bool> {
    let of = |entry: &Entry| matches!(entry, Entry::Reading(r) if r.set_aside);
    model.job.log.iter().map(of).collect()
}

#[test]
fn dragging_a_length_is_one_step_with_a_name() {
    let mut model = Model::new(job());
    let drag = |m: f64| Command::from(Sketch::SetLength("W7".into(), Some(m)));
    replay(
        &mut model,
        vec![
            drag(2.5),
            drag(2.6),
            drag(2.7),
            Command::EndGesture,
            drag(3.0),
        ],
    );
    assert_eq!(model.history.depth(), 2);
    assert_eq!(model.history.undo_name(), Some("Set W7 to 3 m"));
    let x = model.harness.place(&point("X3.1n")).expect("drawn").x;
    assert!((x - 8.1).abs() < 1e-9, "1.4 + 0.9 + 2.2 + 0.6 + 3.0 m");
    replay(&mut model, vec![Command::Undo]);
    let wire = model.job.circuit.wires.iter().find(|w| w.id == "W7");
    assert_eq!(wire.and_then(|w| w.length).map(as_metres), Some(2.7));
}

#[test]
fn adding_chooses_the_new_part() {
    let mut model = Model::new(job());
    let sensor = Addition::Sensor {
        plug: true,
        back: None,
    };
    replay(&mut model, vec![Sketch::Add(point("SP2"), sensor).into()]);
    assert_eq!(model.selection.part.as_deref(), Some("S6"));
    replay(
        &mut model,
        vec![Sketch::Insert("W1".into(), 0.5, Inline::Splice).into()],
    );
    assert_eq!(model.selection.part.as_deref(), Some("SP3"));
    assert_eq!(model.history.undo_name(), Some("Put a splice into W1"));
}

#[test]
fn renaming_keeps_log_and_bench_true() {
    let mut model = Model::new(job());
    replay(
        &mut model,
        vec![
            Bench::Unplug("C2".into()).into(),
            Log::Add(typing("C2.1n", "8.9")).into(),
            Log::MarkRepaired {
                part: "C2".into(),
                replaced: true,
                note: String::new(),
            }
            .into(),
            Sketch::Rename {
                old: "C2".into(),
                new: "C20".into(),
                called: None,
            }
            .into(),
        ],
    );
    let [Entry::Reading(reading), Entry::Repair(repair)] = &model.job.log[..] else {
        panic!("a reading and a repair");
    };
    assert_eq!(reading.red, point("C20.1n"));
    assert!(reading.state.unplugged.contains("C20"));
    assert_eq!(repair.part, "C20");
    assert!(model.job.now.unplugged.contains("C20"));
    assert_eq!(aside(&model), [false, false]);
}

#[test]
fn removing_a_part_sets_its_readings_aside_and_says_so() {
    let mut model = Model::new(job());
    replay(
        &mut model,
        vec![
            Log::Add(typing("C1.1n", "8.9")).into(),
            Log::Add(typing("C2.1n", "8.8")).into(),
            Bench::Unplug("C2".into()).into(),
            Log::Add(typing("C1.1n", "9")).into(),
            Sketch::Remove("C2".into()).into(),
        ],
    );
    assert_eq!(aside(&model), [false, true, true]);
    assert!(model.job.now.unplugged.is_empty());
    assert_eq!(
        model.notices.last().map(|n| n.place.as_str()),
        Some("lines 2 and 3")
    );
    replay(&mut model, vec![Command::Undo]);
    assert_eq!(aside(&model), [false, false, false]);
    assert!(model.job.now.unplugged.contains("C2"));
}

#[test]
fn a_change_that_would_break_the_sketch_is_refused() {
    let mut model = Model::new(job());
    let before = Arc::clone(&model.job);
    let Some(PartData::Connector(mut connector)) = PartData::of(&model.job.circuit, "X3") else {
        panic!("a connector");
    };
    connector.pins.clear();
    let fewer = Sketch::Replace(PartData::Connector(connector.clone()));
    connector.pins = vec![pinchpoint::circuit::Pin {
        contact: ohms(-1.0),
    }];
    let negative = Sketch::Replace(PartData::Connector(connector));
    let rename = Sketch::Rename {
        old: "X3".into(),
        new: "X4".into(),
        called: None,
    };
    let far = Sketch::SetLength("W7".into(), Some(f64::NAN));
    for command in [fewer, negative, rename, far, Sketch::Remove("M1".into())] {
        let notices = model.notices.len();
        replay(&mut model, vec![command.clone().into()]);
        assert_eq!(
            model.notices.len(),
            notices + 1,
            "{command:?} {:?}",
            model.notices
        );
    }
    assert_eq!(model.job, before);
    assert_eq!(model.history.depth(), 0);
}

#[test]
fn typing_in_the_outline_is_one_step_and_half_typed_names_do_no_harm() {
    let mut model = Model::new(job());
    replay(&mut model, vec![Log::Add(typing("SP2", "8.9")).into()]);
    let text = outline(&model.job.circuit);
    let type_ = |name: &str| Command::from(Sketch::SetOutline(text.replace("SP2", name)));
    replay(&mut model, vec![type_("SP"), type_("SP7"), type_("SP77")]);
    let [Entry::Reading(reading)] = &model.job.log[..] else {
        panic!("one reading");
    };
    assert_eq!(
        reading.red,
        point("SP77"),
        "a renamed part takes its readings along"
    );
    assert_eq!(aside(&model), [false]);
    assert_eq!(
        (model.history.depth(), model.history.undo_name()),
        (2, Some("Edit the outline"))
    );
    replay(&mut model, vec![Command::Undo]);
    assert!(model.harness.part("SP2").is_some());
}

#[test]
fn an_outline_that_is_not_understood_says_why_beside_it() {
    let mut model = Model::new(job());
    let before = Arc::clone(&model.job);
    let text = outline(&model.job.circuit);
    replay(
        &mut model,
        vec![Sketch::SetOutline(format!("{text}\n  ?!")).into()],
    );
    let error = model.outline_error.clone().expect("a sentence about it");
    assert!(
        error.place.starts_with("line ") && !error.remedy.is_empty(),
        "{error:?}"
    );
    assert_eq!((&model.job, model.notices.len()), (&before, 0));
    replay(&mut model, vec![Sketch::SetOutline(text).into()]);
    assert_eq!(model.outline_error, None);
}

#[test]
fn a_copied_branch_is_pasted_with_new_names() {
    let mut model = Model::new(job());
    replay(&mut model, vec![Screen::Copy("X3".into()).into()]);
    let clip = model.clip.clone().expect("copied");
    replay(
        &mut model,
        vec![Sketch::Paste(point("SP1"), Box::new(clip)).into()],
    );
    assert_eq!(model.selection.part.as_deref(), Some("X6"));
    let circuit = &model.job.circuit;
    let wire = circuit.wires.last().expect("a wire");
    assert_eq!((&wire.from, &wire.to), (&point("SP1"), &point("X6.1n")));
    assert_eq!(
        wire.length.map(as_metres),
        Some(2.4),
        "as long as the copied one"
    );
    assert_eq!(
        circuit.loads.last().map(|s| (s.id.as_str(), &s.feed)),
        Some(("S6", &point("X6.1f")))
    );
    assert_eq!(circuit.wires.len(), 10);
}

#[test]
fn a_copied_splice_brings_all_that_hangs_from_it_and_returns_find_back() {
    let with_returns = Job {
        circuit: support::circuits::with_returns(),
        ..job()
    };
    let mut model = Model::new(with_returns);
    replay(&mut model, vec![Screen::Copy("X1".into()).into()]);
    let clip = model.clip.clone().expect("copied");
    replay(
        &mut model,
        vec![Sketch::Paste(point("SP1"), Box::new(clip)).into()],
    );
    let circuit = &model.job.circuit;
    let ends: Vec<_> = circuit.wires[8..]
        .iter()
        .map(|w| (w.from.to_string(), w.to.to_string()))
        .collect();
    let expected = [("SP1", "X3.1n"), ("SP2", "X3.2n")].map(|(a, b)| (a.to_owned(), b.to_owned()));
    assert_eq!(ends, expected);
    replay(&mut model, vec![Screen::Copy("SP1".into()).into()]);
    let parts = model.clip.as_ref().map(|clip| clip.len());
    assert_eq!(
        parts,
        Some(14),
        "a splice, three plugs, three sensors, seven wires"
    );
}

#[test]
fn everything_that_can_be_copied_can_be_pasted_anywhere_on_the_feed() {
    for circuit in [
        support::circuits::tender(),
        support::circuits::with_returns(),
    ] {
        let ids: Vec<String> = circuit.ids().map(str::to_owned).collect();
        for id in ids {
            let mut model = Model::new(Job {
                circuit: circuit.clone(),
                ..job()
            });
            replay(&mut model, vec![Screen::Copy(id.clone()).into()]);
            let Some(clip) = model.clip.clone() else {
                assert!(id.starts_with('M') || id.starts_with('W'), "{id}");
                continue;
            };
            let points: Vec<_> = model.harness.points.keys().cloned().collect();
            for at in points {
                let (depth, notices) = (model.history.depth(), model.notices.len());
                replay(
                    &mut model,
                    vec![Sketch::Paste(at.clone(), Box::new(clip.clone())).into()],
                );
                let done = model.history.depth() == depth + 1 && model.notices.len() == notices;
                assert!(done, "{id} at {at}: {:?}", model.notices);
                replay(&mut model, vec![Command::Undo]);
            }
        }
    }
}

fn any_edit() -> impl Strategy<Value = Sketch> {
    let id = || {
        let ids = vec!["W1", "W5", "C1", "C2", "X3", "SP1", "SP2", "S4", "M1", "Q9"];
        prop::sample::select(ids).prop_map(str::to_owned)
    };
    let at = || prop::sample::select(vec!["M1.feed", "SP1", "C2.1f", "X3.1n", "BN", "Q9"]);
    let addition = prop_oneof![
        Just(Addition::Connector),
        Just(Addition::Splice),
        Just(Addition::Fuse),
        any::<bool>().prop_map(|wire| Addition::Ground { wire }),
        any::<bool>().prop_map(|plug| Addition::Sensor { plug, back: None }),
    ];
    prop_oneof![
        (at(), addition).prop_map(|(at, what)| Sketch::Add(point(at), what)),
        (at(), at()).prop_map(|(a, b)| Sketch::Connect(point(a), point(b))),
        (id(), -0.1f64..1.1).prop_map(|(id, f)| Sketch::Insert(id, f, Inline::Connector)),
        id().prop_map(Sketch::Remove),
        (id(), id()).prop_map(|(old, new)| Sketch::Rename {
            old,
            new,
            called: None
        }),
        (id(), prop::option::of(-1.0f64..9.0)).prop_map(|(id, m)| Sketch::SetLength(id, m)),
        id().prop_map(Sketch::AddPin),
        (0.0f64..30.0).prop_map(Sketch::AddRail),
    ]
}

proptest! {
    #[test]
    fn sketching_never_breaks_a_sound_sketch_and_undo_leads_back(edits in prop::collection::vec(any_edit(), 1..25)) {
        let mut model = Model::new(job());
        update(&mut model, Bench::Unplug("C2".into()).into());
        update(&mut model, Log::Add(typing("X3.1n", "8.9")).into());
        let start = Arc::clone(&model.job);
        for edit in edits {
            update(&mut model, edit.into());
            let fatal = check(&model.job.circuit).into_iter().find(|c| c.fatal);
            prop_assert_eq!(fatal, None);
        }
        while model.history.depth() > 2 {
            update(&mut model, Command::Undo);
        }
        prop_assert_eq!(&model.job, &start);
    }
}

#[test]
fn parts_chosen_together_are_moved_copied_and_removed() {
    use pinchpoint::app::{Screen, Sketch, clip::copy_many, update};
    use std::collections::BTreeSet;

    let text = include_str!("../sample_circuits/01-ride-height.ron");
    let job = pinchpoint::notebook::parse_job("sample", text.as_bytes())
        .expect("a sample")
        .job;
    let mut model = pinchpoint::app::Model::new(job);
    let before = model.job.circuit.clone();
    let ids = |names: &[&str]| {
        names
            .iter()
            .map(|name| (*name).to_owned())
            .collect::<Vec<String>>()
    };
    let set = |names: &[&str]| ids(names).into_iter().collect::<BTreeSet<String>>();
    // A sensor brings its plug, and both the wire that feeds it.
    let clip = copy_many(&model.job.circuit, &model.harness, &set(&["S4", "X5"])).expect("a clip");
    assert_eq!(clip.len(), 6, "S4, X4, W8, S5, X5, W9");
    assert_eq!(clip.hang().map(ToString::to_string).as_deref(), Some("SP2"));
    assert!(copy_many(&model.job.circuit, &model.harness, &set(&["W1", "M1"])).is_none());
    update(
        &mut model,
        Screen::SelectMany(set(&["X4", "X5", "gone"])).into(),
    );
    assert_eq!(model.selection.many, set(&["X4", "X5"]));
    let to = |text: &str| text.parse().expect("a point");
    update(
        &mut model,
        Sketch::Move(ids(&["X4", "X5"]), to("C1.1f")).into(),
    );
    let from = |id: &str| {
        let wire = model.job.circuit.wires.iter().find(|wire| wire.id == id);
        wire.expect("the wire").from.to_string()
    };
    assert_eq!(
        (from("W8"), from("W9"), from("W7")),
        ("C1.1f".into(), "C1.1f".into(), "SP2".into())
    );
    // Into itself nothing can hang, and the sketch stays as it was.
    let moved = model.job.circuit.clone();
    update(
        &mut model,
        Sketch::Move(ids(&["SP2", "X3", "S3"]), to("X3.1f")).into(),
    );
    assert_eq!(model.job.circuit, moved);
    assert!(
        model
            .notices
            .last()
            .is_some_and(|notice| notice.what.contains("nothing can hang"))
    );
    update(
        &mut model,
        Sketch::SetBundle(ids(&["W8", "W9"]), "tail".to_owned()).into(),
    );
    assert!(
        model
            .job
            .circuit
            .wires
            .iter()
            .filter(|wire| wire.bundle == "tail")
            .count()
            == 2
    );
    update(
        &mut model,
        Sketch::RemoveAll(ids(&["X4", "S4", "W8", "X5", "S5"])).into(),
    );
    assert_eq!(model.job.circuit.loads.len(), 3);
    for _ in 0..3 {
        update(&mut model, pinchpoint::app::Command::Undo);
    }
    assert_eq!(model.job.circuit, before);
}
