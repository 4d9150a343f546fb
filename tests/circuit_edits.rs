//! Edits of a sketch: all or nothing, references kept, nothing left dangling.

use pinchpoint::{
    circuit::{
        Circuit, DamageZone, Point, check,
        edit::{
            Addition, EditError, Inline, add, add_pin, add_rail, add_supply, connect, insert,
            rename, set_length,
        },
        quick_feed,
        remove::remove,
    },
    quantity::units::{as_metres, metres, volts},
    reading::{
        Attached, Entry, Reading, Repair, State,
        rename::{Missing, missing, rename_in_log},
    },
};
use proptest::prelude::*;

fn point(text: &str) -> Point {
    text.parse().unwrap()
}

fn ends(circuit: &Circuit, wire: &str) -> String {
    let wire = circuit.wires.iter().find(|part| part.id == wire).unwrap();
    format!("{} {}", wire.from, wire.to)
}

/// M1, C1, SP1, four plugs X1 to X4: W1 M1–C1, W2 C1–SP1, W3 to W6 SP1–X1 to X4.
fn feed() -> Circuit {
    quick_feed(volts(5.0), 4, true, false)
}

#[test]
fn every_addition_passes_the_check_and_can_be_drawn_on_from() {
    let additions = [
        (Addition::Connector, "C2", Some("C2.1f")),
        (Addition::Splice, "SP2", Some("SP2")),
        (Addition::Fuse, "F1", Some("F1.out")),
        (Addition::Ground { wire: true }, "G2", None),
        (Addition::Ground { wire: false }, "G2", None),
        (
            Addition::Sensor {
                plug: true,
                back: None,
            },
            "S5",
            None,
        ),
        (
            Addition::Sensor {
                plug: false,
                back: None,
            },
            "S5",
            None,
        ),
        (
            Addition::Sensor {
                plug: true,
                back: Some(point("M1.return")),
            },
            "S5",
            None,
        ),
        (
            Addition::Sensor {
                plug: false,
                back: Some(point("M1.return")),
            },
            "S5",
            None,
        ),
    ];
    for (addition, part, end) in additions {
        let mut circuit = feed();
        let added = add(&mut circuit, &point("SP1"), &addition).unwrap();
        assert_eq!(added.part, part, "{addition:?}");
        assert_eq!(added.end, end.map(point), "{addition:?}");
        assert_eq!(check(&circuit), [], "{addition:?}");
        for id in &added.all {
            assert!(circuit.part(id).is_some(), "{addition:?}: {id}");
        }
        assert_eq!(
            circuit.parts().count(),
            feed().parts().count() + added.all.len()
        );
    }
}

#[test]
fn a_new_wire_looks_like_the_one_that_leads_there() {
    let mut circuit = feed();
    circuit.wires[0].bundle = "engine loom".into();
    add(&mut circuit, &point("C1.1f"), &Addition::Splice).unwrap();
    let wire = circuit.wires.last().unwrap();
    assert_eq!(
        (wire.size, wire.colour, wire.length),
        (circuit.wires[0].size, circuit.wires[0].colour, None)
    );
    assert_eq!(wire.bundle, "engine loom");
}

#[test]
fn a_refused_edit_leaves_the_sketch_alone() {
    let mut circuit = feed();
    let sensor = |back: &str| Addition::Sensor {
        plug: true,
        back: Some(point(back)),
    };
    let nowhere = |text: &str| EditError::NoSuchPoint(text.into());
    assert_eq!(
        add(&mut circuit, &point("C1.2f"), &Addition::Splice),
        Err(nowhere("C1.2f"))
    );
    assert_eq!(
        add(&mut circuit, &point("SP1"), &sensor("SP9")),
        Err(nowhere("SP9"))
    );
    assert_eq!(
        add(&mut circuit, &point("SP1"), &sensor("SP1")),
        Err(EditError::SamePoint("SP1".into()))
    );
    assert_eq!(
        add(
            &mut circuit,
            &point("BN"),
            &Addition::Ground { wire: false }
        ),
        Err(EditError::SamePoint("battery −".into()))
    );
    assert_eq!(
        connect(&mut circuit, &point("SP1"), &point("SP1")),
        Err(EditError::SamePoint("SP1".into()))
    );
    assert_eq!(
        connect(&mut circuit, &point("SP1"), &point("S1.feed")),
        Err(nowhere("S1.feed"))
    );
    assert_eq!(
        rename(&mut circuit, "C9", "C8"),
        Err(EditError::NoSuchPart("C9".into()))
    );
    assert_eq!(
        rename(&mut circuit, "C1", "X1"),
        Err(EditError::Taken("X1".into()))
    );
    assert_eq!(rename(&mut circuit, "C1", "BN"), Err(EditError::Reserved));
    for bad in ["", "1C", "C 1", "C.1", "Ω", &"C".repeat(25)] {
        assert_eq!(
            rename(&mut circuit, "C1", bad),
            Err(EditError::BadDesignation(bad.into()))
        );
    }
    for bad in [0.0, -1.0, 1001.0] {
        assert!(matches!(
            set_length(&mut circuit, "W1", Some(metres(bad))),
            Err(EditError::Length(_))
        ));
    }
    assert!(set_length(&mut circuit, "W1", Some(metres(f64::NAN))).is_err());
    let wrong_class = EditError::WrongClass {
        id: "C1".into(),
        class: "connector",
        wanted: "wire",
    };
    assert_eq!(set_length(&mut circuit, "C1", None), Err(wrong_class));
    assert_eq!(
        remove(&mut circuit, "M1"),
        Err(EditError::LastSupply("M1".into()))
    );
    assert_eq!(
        remove(&mut circuit, "Z1"),
        Err(EditError::NoSuchPart("Z1".into()))
    );
    assert!(insert(&mut circuit, "W1", f64::NAN, Inline::Splice).is_err());
    assert!(insert(&mut circuit, "W1", 0.0, Inline::Splice).is_err());
    assert!(insert(&mut circuit, "W99", 0.5, Inline::Splice).is_err());
    assert_eq!(circuit, feed());
    for _ in 1..200 {
        add_pin(&mut circuit, "C1").unwrap();
    }
    assert_eq!(
        add_pin(&mut circuit, "C1"),
        Err(EditError::TooManyPins("C1".into()))
    );
    assert_eq!(circuit.connectors[0].pins.len(), 200);
}

#[test]
fn removing_an_inline_part_joins_the_wires() {
    let mut circuit = feed();
    assert_eq!(remove(&mut circuit, "C1").unwrap(), ["C1", "W2"]);
    assert_eq!(ends(&circuit, "W1"), "M1.feed SP1");
    assert!((as_metres(circuit.wires[0].length.unwrap()) - 2.0).abs() < 1e-12);
    assert_eq!(check(&circuit), []);
    let mut circuit = feed();
    set_length(&mut circuit, "W2", None).unwrap();
    remove(&mut circuit, "C1").unwrap();
    assert_eq!(circuit.wires[0].length, None);
}

#[test]
fn removing_a_plug_wires_the_sensor_for_good() {
    let mut circuit = quick_feed(volts(5.0), 4, true, true);
    assert_eq!(remove(&mut circuit, "X1").unwrap(), ["X1"]);
    assert_eq!(circuit.loads[0].feed, point("S1.feed"));
    assert_eq!(circuit.loads[0].ret, point("S1.return"));
    assert_eq!(ends(&circuit, "W3"), "SP1 S1.feed");
    assert_eq!(check(&circuit), []);
}

#[test]
fn removing_a_splice_with_branches_removes_its_wires() {
    let mut circuit = feed();
    let gone = remove(&mut circuit, "SP1").unwrap();
    assert_eq!(gone.len(), 6, "{gone:?}");
    assert_eq!(circuit.wires.len(), 1);
    assert!(check(&circuit).iter().all(|complaint| !complaint.fatal));
}

#[test]
fn removing_other_parts_takes_their_wires_and_damage_marks() {
    let mut circuit = feed();
    circuit.damage_zones = vec![
        DamageZone {
            note: "hit".into(),
            parts: vec!["W3".into(), "X1".into()],
            factor: 5.0,
        },
        DamageZone {
            note: "wet".into(),
            parts: vec!["W3".into()],
            factor: 2.0,
        },
    ];
    assert_eq!(remove(&mut circuit, "W3").unwrap(), ["W3"]);
    assert_eq!(circuit.damage_zones.len(), 1);
    assert_eq!(circuit.damage_zones[0].parts, ["X1"]);
    let second = add_supply(&mut circuit, volts(12.0));
    let wire = connect(
        &mut circuit,
        &Point::new(&second, pinchpoint::circuit::Terminal::Feed(1)),
        &point("X1.1n"),
    )
    .unwrap();
    assert_eq!(remove(&mut circuit, "M2").unwrap(), ["M2".to_owned(), wire]);
    let rail = add_rail(&mut circuit, volts(12.0));
    assert_eq!(remove(&mut circuit, &rail).unwrap(), [rail]);
    let added = add(
        &mut circuit,
        &point("SP1"),
        &Addition::Sensor {
            plug: false,
            back: Some(point("BN")),
        },
    )
    .unwrap();
    assert_eq!(remove(&mut circuit, &added.part).unwrap().len(), 3);
    assert_eq!(remove(&mut circuit, "G1").unwrap(), ["G1"]);
}

#[test]
fn what_is_inserted_shares_the_length_and_can_be_taken_out_again() {
    for inline in [Inline::Connector, Inline::Splice, Inline::Fuse] {
        let mut circuit = feed();
        let added = insert(&mut circuit, "W1", 0.25, inline).unwrap();
        assert!((as_metres(circuit.wires[0].length.unwrap()) - 0.3).abs() < 1e-12);
        assert_eq!(circuit.wires[1].id, added.all[0]);
        assert_eq!(check(&circuit), []);
        remove(&mut circuit, &added.part).unwrap();
        assert_eq!(circuit.wires.len(), feed().wires.len());
        assert_eq!(ends(&circuit, "W1"), ends(&feed(), "W1"));
    }
}

#[test]
fn a_designation_of_a_removed_part_is_not_given_again_while_higher_ones_are_in_use() {
    let mut circuit = feed();
    remove(&mut circuit, "X2").unwrap();
    assert_eq!(circuit.fresh_id("X"), "X5");
    rename(&mut circuit, "X4", "X4294967295").unwrap();
    assert_eq!(circuit.fresh_id("X"), "X4");
    rename(&mut circuit, "X3", "X999999").unwrap();
    rename(&mut circuit, "X1", "X1000000").unwrap();
    assert_eq!(circuit.fresh_id("X"), "X1000001");
}

#[test]
fn a_new_designation_reaches_the_log_and_what_is_gone_is_listed() {
    let mut circuit = feed();
    let mut reading = Reading::volts(point("X1.1n"), 0.8);
    reading.state = State {
        unplugged: ["C1".to_owned(), "X1".to_owned()].into(),
        unknown: ["X2".to_owned()].into(),
        attached: vec![Attached {
            from: point("X1.1n"),
            to: point("BN"),
            resistance: pinchpoint::quantity::units::ohms(1000.0),
        }],
        ..State::default()
    };
    let repair = Repair {
        part: "X1".into(),
        replaced: true,
        note: String::new(),
    };
    let mut log = vec![Entry::Reading(reading), Entry::Repair(repair)];
    assert_eq!(missing(&circuit, &log), []);

    rename(&mut circuit, "X1", "X11").unwrap();
    let lost = |entry, what: &str| Missing {
        entry,
        what: what.into(),
    };
    assert_eq!(
        missing(&circuit, &log),
        [lost(0, "X1"), lost(0, "X1.1n"), lost(1, "X1")]
    );
    rename_in_log(&mut log, "X1", "X11");
    assert_eq!(missing(&circuit, &log), []);

    remove(&mut circuit, "X11").unwrap();
    assert_eq!(
        missing(&circuit, &log),
        [lost(0, "X11"), lost(0, "X11.1n"), lost(1, "X11")]
    );
    let Entry::Reading(reading) = &mut log[0] else {
        unreachable!("the first line is a reading")
    };
    reading.set_aside = true;
    assert_eq!(missing(&circuit, &log), [lost(1, "X11")]);
}

proptest! {
    #[test]
    fn renaming_and_back_is_no_change(n in 1..12u8, inline: bool, separate: bool, pick in any::<prop::sample::Index>()) {
        let before = quick_feed(volts(5.0), n, inline, separate);
        let ids: Vec<String> = before.ids().map(str::to_owned).collect();
        let id = pick.get(&ids);
        let mut circuit = before.clone();
        rename(&mut circuit, id, "renamed-1").unwrap();
        prop_assert_eq!(check(&circuit), []);
        prop_assert!(circuit.part(id).is_none());
        rename(&mut circuit, "renamed-1", id).unwrap();
        prop_assert_eq!(circuit, before);
    }

    #[test]
    fn removing_any_parts_leaves_nothing_that_leads_nowhere(
        n in 1..9u8, inline: bool, separate: bool, picks in prop::collection::vec(any::<prop::sample::Index>(), 1..12),
    ) {
        let mut circuit = quick_feed(volts(5.0), n, inline, separate);
        for pick in picks {
            let ids: Vec<String> = circuit.ids().map(str::to_owned).collect();
            let id = pick.get(&ids);
            match remove(&mut circuit, id) {
                Ok(gone) => prop_assert!(gone.iter().all(|id| circuit.part(id).is_none())),
                Err(error) => prop_assert_eq!(error, EditError::LastSupply(id.clone())),
            }
            let fatal: Vec<_> = check(&circuit).into_iter().filter(|complaint| complaint.fatal).collect();
            prop_assert_eq!(fatal, []);
        }
    }

    #[test]
    fn a_quick_start_passes_the_check(n: u8, inline: bool, separate: bool, nominal in prop_oneof![Just(5.0), Just(8.0), Just(9.0), Just(12.0)]) {
        let circuit = quick_feed(volts(nominal), n, inline, separate);
        prop_assert_eq!(check(&circuit), []);
        prop_assert_eq!(circuit.loads.len(), usize::from(n.clamp(1, 40)));
    }
}
