//! What is written on the drawing itself: every reading has its tag, and no words lie on others.

use crate::{
    driver::{Window, click, name_with, settle, shows, window},
    shapes::words,
};
use eframe::egui::Rect;
use egui_kittest::kittest::Queryable;
use pinchpoint::{
    circuit::outline::from_outline,
    notebook::Job,
    quantity::units::volts,
    reading::{Entry, Reading},
};

/// Six sensors on two splices: on a laptop their lanes lie so close that little room is left between them.
const SIX: &str = "\
M1 5V
  W1 1.2m 0.5 RD C1
    W2 0.8m 0.5 RD SP1
      W3 0.7m 0.35 RDWH X1 S1 8mA \"boost\"
      W4 0.9m 0.35 RDYE X2 S2 5kΩ \"oil pressure\"
      W5 1.1m 0.35 RDGN X3 S3 8mA \"rail pressure\"
      W6 1.3m 0.35 RDBU X4 S4 5kΩ \"coolant level\"
      W7 0.8m 0.5 RD SP2
        W8 0.5m 0.35 RDVT X5 S5 8mA \"brake travel\"
        W9 0.7m 0.35 RDGY X6 S6 5kΩ \"cargo height\"
M1.return G1";

/// Points and volts, each with a figure of its own.
const READ: [(&str, f64); 9] = [
    ("X4.1f", 0.5701),
    ("X6.1f", 0.5741),
    ("X1.1n", 0.5742),
    ("X5.1n", 0.5743),
    ("X3.1f", 0.5744),
    ("X2.1f", 0.5745),
    ("C1.1f", 0.5790),
    ("M1.feed", 0.5860),
    ("SP2", 0.5746),
];

fn job(read: &[(&str, f64)]) -> Job {
    let log = read.iter().map(|(point, value)| {
        let mut reading = Reading::volts(point.parse().unwrap(), *value);
        reading.step = Some(0.0001);
        Entry::Reading(reading)
    });
    Job {
        circuit: from_outline(SIX, volts(5.0)).unwrap(),
        log: log.collect(),
        ..Job::default()
    }
}

/// What is written on the sheet of the drawing, and where.
fn written(window: &Window) -> Vec<(String, Rect)> {
    let found = words(window);
    let place = |is: &dyn Fn(&str) -> bool| {
        let mut of = found.iter().filter(|(word, _)| is(word));
        of.next().map(|(_, rect)| *rect).unwrap()
    };
    let title = place(&|word| word == "Harness, to scale");
    let metre = place(&|word| word.starts_with('0') && word.ends_with(" m"));
    let right = window.get_by_label("Zoom in").rect().right();
    let sheet = |rect: &Rect| {
        rect.top() > title.bottom() && rect.bottom() < metre.top() && rect.right() <= right + 4.0
    };
    found.into_iter().filter(|(_, rect)| sheet(rect)).collect()
}

fn tags<'a>(written: &'a [(String, Rect)], read: &[(&str, f64)]) -> Vec<&'a (String, Rect)> {
    // In volts, as what should be read there is.
    let of = |value: &f64| format!("{value:.4} V");
    let is = |word: &str| read.iter().any(|(_, value)| word.ends_with(&of(value)));
    written.iter().filter(|(word, _)| is(word)).collect()
}

#[test]
fn every_reading_has_its_tag_in_a_narrow_harness_too() {
    for size in [[1280.0, 800.0], [1440.0, 900.0]] {
        let harness = window(job(&READ), size);
        let written = written(&harness);
        let tags = tags(&written, &READ);
        assert_eq!(tags.len(), READ.len(), "{size:?}: {written:?}");
        for (word, rect) in &tags {
            let on =
                |other: &&(String, Rect)| other.1 != *rect && other.1.shrink(1.0).intersects(*rect);
            let covered = written.iter().find(on);
            assert!(covered.is_none(), "{size:?}: {word} on {covered:?}");
        }
        assert!(!shows(&harness, "no room here"));
    }
}

#[test]
fn the_chosen_point_keeps_its_tag() {
    let mut harness = window(job(&READ), [1280.0, 800.0]);
    let before = written(&harness).len();
    let point = name_with(&harness, "Point X2 pin 1, near side").unwrap();
    click(&mut harness, &point);
    settle(&mut harness);
    let after = written(&harness);
    let told = after
        .iter()
        .filter(|(word, _)| word.starts_with("should "))
        .count();
    assert!(after.len() > before && told >= 1, "{after:?}");
    assert_eq!(tags(&after, &READ).len(), READ.len(), "{after:?}");
}

#[test]
fn fitted_the_whole_harness_is_in_sight_and_every_sensor_has_its_name() {
    for size in [[1280.0, 800.0], [1440.0, 900.0]] {
        let harness = window(job(&READ[..3]), size);
        let written = written(&harness);
        for word in ["G1", "S1", "S2", "S3", "S4", "S5", "S6", "X3"] {
            assert!(
                written.iter().any(|(text, _)| text == word),
                "{size:?}: {word}"
            );
        }
        for name in ["boost", "oil", "rail", "coolant", "brake", "cargo"] {
            let named = written.iter().any(|(text, _)| text.starts_with(name));
            assert!(named, "{size:?}: {name} in {written:?}");
        }
    }
}

/// Distance of two rectangles.
fn apart(a: Rect, b: Rect) -> f32 {
    let x = (a.left() - b.right()).max(b.left() - a.right()).max(0.0);
    let y = (a.top() - b.bottom()).max(b.top() - a.bottom()).max(0.0);
    x.hypot(y)
}

/// Whoever reads a name beside a plug pulls that plug: in a drawing of which three rows are in sight, a name is that of
/// the nearest part, and rows out of sight have none. No source: common practice of drawings.
#[test]
fn in_a_low_drawing_every_name_stands_at_its_own_part() {
    let mut named = 0;
    for size in [[1280.0, 800.0], [1280.0, 720.0]] {
        let mut harness = window(job(&READ), size);
        click(&mut harness, "Show the outline");
        let plugs: Vec<(String, Rect)> = (1..=6)
            .flat_map(|n| [format!("X{n} connector"), format!("S{n} sensor")])
            .filter_map(|start| {
                let name = name_with(&harness, &start)?;
                let rect = harness.get_by_label(&name).rect();
                Some((start.split(' ').next().unwrap().to_owned(), rect))
            })
            .collect();
        assert!(!plugs.is_empty(), "{size:?}");
        let written = written(&harness);
        for (word, rect) in written.iter().filter(|(word, _)| word.starts_with('X')) {
            let number = &word[1..];
            let is_own = |id: &str| &id[1..] == number;
            let nearest = |own: bool| {
                let of = plugs.iter().filter(|(id, _)| is_own(id) == own);
                of.map(|(_, plug)| apart(*plug, *rect))
                    .fold(f32::INFINITY, f32::min)
            };
            let (own, other) = (nearest(true), nearest(false));
            assert!(
                own <= other,
                "{size:?}: {word} at {rect}: {own}, {other} in {plugs:?}"
            );
            named += 1;
        }
        let tagged = tags(&written, &READ).len();
        let told = shows(&harness, "above or below: scroll");
        assert!(tagged < READ.len() && told, "{size:?}: {tagged}");
    }
    assert!(named > 2, "{named} plugs are named");
}
