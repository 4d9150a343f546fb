//! The circuit as indented text: both ways, also for what is no tree, and errors at their line.

use pinchpoint::{
    circuit::{
        Circuit, DamageZone, LimitMode, LoadModel, Point, Terminal, check,
        edit::{Addition, Inline, add, connect, insert, rename},
        outline::{from_outline, outline, revise},
        quick_feed,
        remove::remove,
        stock,
    },
    quantity::units::{amperes, metres, milliamperes, ohms, volts},
};
use proptest::prelude::*;

fn read(text: &str) -> Circuit {
    from_outline(text, volts(5.0)).unwrap_or_else(|error| panic!("{error}\n{text}"))
}

fn point(text: &str) -> Point {
    text.parse().unwrap()
}

#[test]
fn the_outline_of_a_quick_start_is_as_documented() {
    let text = outline(&quick_feed(volts(5.0), 2, true, true));
    assert_eq!(
        text,
        "\
M1 5V 2%
  W1 1.2m 0.5 RD C1 5min
    W2 0.8m 0.5 RD SP1
      W3 0.7m 0.35 RDWH X1 3min S1 8mA
      W4 0.9m 0.35 RDYE X2 3min S2 5kΩ
M1.return G1
  W5 1.2m 0.5 BK C1.2
    W6 0.8m 0.5 BK SP2
      W7 0.7m 0.35 BKWH X1.2 S1.return
      W8 0.9m 0.35 BKYE X2.2 S2.return
"
    );
}

#[test]
fn a_feed_can_be_typed_in_a_minute() {
    let circuit =
        read("M1\n  C1\n    SP1\n      X1 \"Boost pressure\" S1 8 mA\n      X2 S2 4k7\n      S3\n");
    assert_eq!(check(&circuit), []);
    assert_eq!(circuit.wires.len(), 5);
    assert_eq!(circuit.connectors[1].name, "Boost pressure");
    assert_eq!(
        circuit.loads[1].model,
        LoadModel::Resistive {
            resistance: ohms(4700.0)
        }
    );
    assert_eq!(circuit.loads[2].feed, point("S3.feed"));
    assert!(circuit.wires.iter().all(|wire| wire.length.is_none()));
    // The same on fewer or more lines, and with tabs.
    assert_eq!(
        read("M1 C1 SP1\n\tX1 \"Boost pressure\" S1 8mA\n\tX2 S2 4700ohm\n\tS3"),
        circuit
    );
    let wires = read("M1\n  W1 1,2 m 0.5mm2 bnrd\n    C1\n      W2 80cm awg20\n        S1");
    assert_eq!(wires.wires[0].length, Some(metres(1.2)));
    assert_eq!(wires.wires[1].length, Some(metres(0.8)));
    assert_eq!(wires.wires[0].to, point("C1.1n"));
    assert_eq!(wires.wires[1].to, point("S1.feed"));
}

#[test]
fn every_part_and_property_is_read() {
    let circuit = read(
        "M1 8V 1.5% 3Ω latches more \"Engine \\\"module\\\"\"\n  W1 F1 10A\n    W2 connector inline-1 7pins 25min sealed\n      SP1 more\n        W3 sensor MAP 8mA 2.5V 20% tap 0.25\n          W9 1m negative\n        at S2 5kΩ\nM1.feed2\n  W4 SP1\nM1.return G1 0.02Ω\n  W5 G2\n  W6 0.5m 2.5 S2\nB1 14V 0.5Ω \"Starter feed\"\n",
    );
    let supply = &circuit.supplies[0];
    assert_eq!(
        (supply.feed_pins, supply.latches, supply.more_members),
        (2, true, true)
    );
    assert_eq!(supply.name, "Engine \"module\"");
    assert_eq!(
        (supply.nominal, supply.source),
        (volts(8.0), Some(ohms(3.0)))
    );
    assert_eq!(circuit.fuses[0].rated, amperes(10.0));
    assert_eq!(circuit.connectors[0].pins.len(), 7);
    assert!(circuit.connectors[0].sealed && circuit.splices[0].more_members);
    let map = &circuit.loads[0];
    assert_eq!(
        (map.spread_percent, map.signal_fraction),
        (20.0, Some(0.25))
    );
    assert_eq!(
        map.model,
        LoadModel::Electronic {
            draw: milliamperes(8.0),
            knee: volts(2.5)
        }
    );
    assert_eq!(
        (&circuit.loads[1].feed, &circuit.loads[1].ret),
        (&point("SP1"), &point("S2.return"))
    );
    assert_eq!(
        (&circuit.grounds[0].at, &circuit.grounds[1].at),
        (&point("M1.return"), &point("G2"))
    );
    assert_eq!(circuit.rails[0].potential, volts(14.0));
    assert_eq!(
        circuit.wires[5].to,
        point("SP1"),
        "a second wire to a part that was named before"
    );
    assert_eq!(revise(&circuit, &outline(&circuit)), Ok(circuit));
}

#[test]
fn what_cannot_be_read_is_named_with_line_and_remedy() {
    for (text, line, what) in [
        ("M1\n  W1", 2, "W1 leads nowhere"),
        ("M1\n  W1 W2 SP1", 2, "W1 and W2 follow each other"),
        (
            "M1\n  W1\n    SP1\n    SP2",
            4,
            "W1 leads somewhere already",
        ),
        ("M1\n    SP1\n  SP2", 3, "between two levels"),
        (
            "M1\n  SP1\n\n  W1 SP1x",
            4,
            "“SP1x” does not tell what it is",
        ),
        ("W1 1m SP1", 1, "W1 begins nowhere"),
        ("M1\n  W1 SP1\n  W1 SP2", 3, "W1 was named above"),
        (
            "M1\n  splice C1\n  connector C1",
            3,
            "C1 is a splice above and a connector here",
        ),
        (
            "M1\n  sensor 1S",
            2,
            "“1S” cannot be the designation of a sensor",
        ),
        ("M1\n  splice BN", 2, "“BN” cannot be the designation"),
        ("M1\n  C1.0", 2, "C1 has no “0”"),
        ("M1\n  C1.201", 2, "C1 has no “201”"),
        ("M1\n  SP1.2", 2, "SP1 has no “2”"),
        ("M1\n  S1.middle", 2, "S1 has no “middle”"),
        ("M1.feed0", 1, "M1 has no “feed0”"),
        ("M1 5kg", 1, "“5kg” tells nothing of a module"),
        ("M1 5A", 1, "“5A” tells nothing of a module"),
        ("M1\n  S1 8", 2, "“8” tells nothing of a sensor"),
        ("M1\n  S1 8m", 2, "“8m” tells nothing of a sensor"),
        ("M1\n  S1 5kΩ 2V", 2, "no knee voltage"),
        ("M1\n  S1 tap", 2, "no fraction"),
        ("M1\n  S1 tap 2", 2, "no fraction"),
        ("M1\n  W1 1m 0.5 BK BN SP1", 2, "W1 has two colours"),
        ("M1\n  W1 \"long\" SP1", 2, "a wire has no name"),
        ("M1\n  C1 0pins", 2, "“0pins” is no number of pins"),
        ("\"M1\"", 1, "before any part"),
        ("5V M1", 1, "before any part"),
        ("M1 \"Engine", 1, "no end"),
        ("M1\n  sensor", 2, "nothing follows “sensor”"),
        ("M1\n  at C1", 2, "needs a point before it"),
        ("at S1", 1, "needs a point before it"),
        ("M1\n  SP1\n    W1 SP1", 3, "begin and end at SP1"),
        ("M1\n  X1 S1 S1 S1", 2, "have their place already"),
        ("M1\n  X1 S1\n  S1.feed", 3, "S1.feed sits at X1.1f already"),
        ("M1 G1\n  SP1 G1", 2, "G1 stands at M1.feed already"),
        ("M1\n  W1 1e400m SP1", 2, "tells nothing of a wire"),
    ] {
        let error = from_outline(text, volts(5.0)).unwrap_err();
        assert_eq!(error.line, line, "{text}: {error}");
        assert!(error.what.contains(what), "{text}: {error}");
        assert!(!error.remedy.is_empty());
    }
}

#[test]
fn an_edited_outline_keeps_what_it_cannot_say() {
    let mut circuit = quick_feed(volts(5.0), 3, true, false);
    circuit.supplies[0].limit = LimitMode::Constant {
        limit: Some(milliamperes(120.0)),
    };
    circuit.wires[0].bundle = "sill".into();
    circuit.wires[0].circuit_number = "K41".into();
    circuit.connectors[0].place = "left hinge pillar".into();
    circuit.connectors[1].pins[0].contact = ohms(0.3);
    circuit.connectors[1].name = "two\nlines".into();
    circuit.loads[0].blocks_ohmmeter = true;
    circuit.damage_zones = vec![
        DamageZone {
            note: "hit".into(),
            parts: vec!["sill".into(), "X3".into()],
            factor: 4.0,
        },
        DamageZone {
            note: "wet".into(),
            parts: vec!["X3".into()],
            factor: 2.0,
        },
    ];
    let text = outline(&circuit);
    assert_eq!(revise(&circuit, &text), Ok(circuit.clone()));

    // X3 with its sensor and wire goes, W1 gets longer, a sensor without a wire of a known length comes.
    let without: String = text
        .lines()
        .filter(|line| !line.contains("X3"))
        .map(|line| format!("{line}\n"))
        .collect();
    let edited = without
        .replace("W1 1.2m", "W1 3.4m")
        .replace("M1.return", "      X4 S4\nM1.return");
    let revised = revise(&circuit, &edited).unwrap();
    assert_eq!(check(&revised), []);
    assert_eq!(revised.wires[0].length, Some(metres(3.4)));
    assert_eq!(revised.wires[0].bundle, "sill");
    assert_eq!(revised.supplies, circuit.supplies);
    assert_eq!(revised.connectors[..3], circuit.connectors[..3]);
    assert_eq!(revised.damage_zones.len(), 1);
    assert_eq!(revised.damage_zones[0].parts, ["sill"]);
    let ids: Vec<&str> = revised.loads.iter().map(|load| load.id.as_str()).collect();
    assert_eq!(ids, ["S1", "S2", "S4"]);
    // The wire that was left out keeps its designation from one reading of the text to the next.
    assert_eq!(revised.wires.last().unwrap().id, "W6");
    assert_eq!(revise(&revised, &edited), Ok(revised));
}

#[test]
fn a_very_long_chain_is_no_trouble() {
    let mut circuit = Circuit::default();
    circuit.supplies.push(stock::supply("M1", volts(5.0)));
    let mut at = point("M1.feed");
    for n in 1..=3000 {
        let splice = Point::new(format!("SP{n}"), Terminal::Only);
        circuit
            .wires
            .push(stock::wire(format!("W{n}"), at, splice.clone()));
        circuit.splices.push(stock::splice(&splice.part));
        at = splice;
    }
    assert_eq!(from_outline(&outline(&circuit), volts(5.0)), Ok(circuit));
}

#[derive(Clone, Debug)]
enum Step {
    Add(usize, usize),
    Connect(usize, usize),
    Insert(usize, u8),
    Remove(usize),
    Rename(usize, u8),
}

fn step() -> impl Strategy<Value = Step> {
    let any = any::<usize>;
    prop_oneof![
        (any(), any()).prop_map(|(at, what)| Step::Add(at, what)),
        (any(), any()).prop_map(|(a, b)| Step::Connect(a, b)),
        (any(), 0..3u8).prop_map(|(wire, what)| Step::Insert(wire, what)),
        any().prop_map(Step::Remove),
        (any(), 0..4u8).prop_map(|(part, name)| Step::Rename(part, name)),
    ]
}

/// Applies a step where it makes sense; refusals leave the circuit as it is, which other tests see to.
fn apply(circuit: &mut Circuit, step: &Step) {
    let points = circuit.points();
    let ids: Vec<String> = circuit.ids().map(str::to_owned).collect();
    let pick = |at: usize| points[at % points.len()].clone();
    match step {
        Step::Add(at, what) => {
            let back = (what % 3 == 0).then(|| pick(what / 8));
            let additions = [
                Addition::Connector,
                Addition::Splice,
                Addition::Sensor {
                    plug: what % 2 == 0,
                    back,
                },
                Addition::Fuse,
                Addition::Ground { wire: true },
                Addition::Ground { wire: false },
            ];
            let _ = add(circuit, &pick(*at), &additions[what % additions.len()]);
        }
        Step::Connect(a, b) => {
            let _ = connect(circuit, &pick(*a), &pick(*b));
        }
        Step::Insert(wire, what) => {
            let inline = [Inline::Connector, Inline::Splice, Inline::Fuse][usize::from(*what)];
            let _ = insert(circuit, &ids[wire % ids.len()], 0.5, inline);
        }
        Step::Remove(part) => {
            let _ = remove(circuit, &ids[part % ids.len()]);
        }
        Step::Rename(part, name) => {
            let _ = rename(
                circuit,
                &ids[part % ids.len()],
                ["RD", "at", "MAP-2", "sealed"][usize::from(*name)],
            );
        }
    }
}

proptest! {
    #[test]
    fn a_quick_feed_reads_back_as_it_was(n in 1..=40u8, inline: bool, separate: bool, nominal in prop_oneof![Just(5.0), Just(8.0), Just(9.0), Just(12.0)]) {
        let circuit = quick_feed(volts(nominal), n, inline, separate);
        prop_assert_eq!(from_outline(&outline(&circuit), volts(5.0)), Ok(circuit));
    }

    #[test]
    fn any_sketch_that_edits_can_make_reads_back_as_it_was(
        n in 1..6u8, inline: bool, separate: bool, steps in prop::collection::vec(step(), 0..25),
    ) {
        let mut circuit = quick_feed(volts(5.0), n, inline, separate);
        for step in &steps {
            apply(&mut circuit, step);
        }
        let text = outline(&circuit);
        let back = revise(&circuit, &text);
        prop_assert_eq!(back.as_ref(), Ok(&circuit), "{}", text);
    }

    #[test]
    fn no_text_panics(text in "([ \\t]{0,4}(M1|W[12]|C1|X1|SP1|S1|G1|F1|B1|at|sensor|negative|[.]|[.]2f?|[.]return|5V|8mA|0.5|RD|\"|[0-9]m|%|\\PC)[ \n]?){0,25}") {
        if let Ok(circuit) = from_outline(&text, volts(5.0)) {
            let fatal: Vec<_> = check(&circuit).into_iter().filter(|complaint| complaint.fatal).collect();
            // Whatever reads and can be computed reads back.
            if fatal.is_empty() {
                prop_assert_eq!(revise(&circuit, &outline(&circuit)), Ok(circuit), "{}", text);
            }
        }
    }
}
