//! How sure the answer looks: colour, hatching and plots go with the probability.

use std::{fs::File, io::BufReader, path::Path};

use crate::{
    driver::{Window, click, sample, settle, shows, window},
    reach::command,
    shapes::shapes,
};
use eframe::egui::{Color32, Key, Modifiers, Rect, Shape};
use egui_kittest::kittest::Queryable;
use pinchpoint::{
    explain,
    notebook::Job,
    reading::{Entry, Reading},
    ui::theme::DAY,
};

const LAPTOP: [f32; 2] = [1280.0, 800.0];

/// The colour in which a text stands.
fn ink(window: &Window, text: &str) -> Color32 {
    let found = shapes(window).into_iter().find_map(|shape| match shape {
        Shape::Text(shape) if shape.galley.text() == text => {
            Some(shape.galley.job.sections[0].format.color)
        }
        _ => None,
    });
    found.unwrap_or_else(|| panic!("{text} is not written"))
}

#[test]
fn the_place_is_red_only_once_the_answer_is_settled() {
    let mut seen = [0, 0];
    for lines in 1..=5 {
        let mut job = sample();
        job.log.truncate(lines);
        let harness = window(job, LAPTOP);
        let answer = harness.state().model().answer.clone().unwrap();
        let said = &answer.words.headline;
        if said.place.is_empty() {
            continue;
        }
        let told = explain::headline(&answer.job.question(), &answer.findings);
        // Sixty per cent: from there on it is no longer one of several (judgement, no source).
        let settled = told.probability.expect("it names a place") >= 0.6;
        let wanted = if settled { DAY.suspect_text } else { DAY.ink };
        assert_eq!(ink(&harness, &said.place), wanted, "{lines}: {said:?}");
        let hedged = said.what.starts_with("Not sure yet")
            || said.what.starts_with("Several faults are possible");
        assert_eq!(hedged, !settled, "{lines}: {said:?}");
        seen[usize::from(settled)] += 1;
    }
    assert!(seen.iter().all(|count| *count > 0), "{seen:?}");
}

/// Strokes of hatching that begin in this piece of the screen.
fn hatching(window: &Window, piece: Rect) -> usize {
    let strokes = shapes(window).into_iter().filter(|shape| match shape {
        Shape::LineSegment { points, stroke } => {
            let [a, b] = points;
            let slanted = ((a.x - b.x) + (a.y - b.y)).abs() < 0.1 && (a.x - b.x).abs() > 0.5;
            slanted && stroke.color == DAY.suspect && piece.contains(*a)
        }
        _ => false,
    });
    strokes.count()
}

#[test]
fn the_suspected_wire_is_hatched_and_thick_so_that_it_reads_in_grey() {
    let harness = window(sample(), LAPTOP);
    let wire = |name: &str| {
        let rect = harness.get_by_label_contains(name).rect();
        rect.shrink2(eframe::egui::vec2(8.0, 0.0))
    };
    // The fault of the sample sits on W7 (calculated; see the tests of the samples).
    let (suspect, sound) = (wire("W7 wire"), wire("W2 wire"));
    assert!(hatching(&harness, suspect.expand2([0.0, 26.0].into())) > 8);
    assert_eq!(hatching(&harness, sound.expand2([0.0, 10.0].into())), 0);
    let swelling = shapes(&harness)
        .into_iter()
        .filter_map(|shape| match shape {
            Shape::Rect(shape) if shape.fill == DAY.suspect_wash => Some(shape.rect),
            _ => None,
        });
    let thickest = swelling
        .filter(|rect| suspect.x_range().contains(rect.center().x))
        .map(|rect| rect.height())
        .fold(0.0, f32::max);
    assert!(thickest > 30.0, "{thickest}");
}

#[test]
fn no_ohms_are_plotted_where_nothing_explains_the_readings() {
    let harness = window(sample(), [1440.0, 1400.0]);
    assert!(shows(&harness, "Probability of its ohms"));
    let mut job = sample();
    // No circuit with these sources reads so: the feed is at ground and above it at once.
    job.log.clear();
    for (point, volts) in [
        ("M1.feed", 0.02),
        ("C1.1n", 8.9),
        ("C2.1n", 0.4),
        ("X3.1n", 8.8),
        ("X5.1n", 3.1),
        ("C1.1f", 6.2),
    ] {
        let reading = Reading::volts(point.parse().unwrap(), volts);
        job.log.push(Entry::Reading(reading));
    }
    let harness = window(job, [1440.0, 1400.0]);
    let findings = harness.state().model().current_findings().unwrap();
    assert!(findings.is_unexplained(), "{}", findings.unexplained);
    assert!(shows(&harness, "Nothing on this sketch explains"));
    assert!(!shows(&harness, "Probability of its ohms"));
}

/// Red, green and blue of every dot of a picture that the window wrote.
fn dots(path: &Path) -> Vec<[f64; 3]> {
    let file = BufReader::new(File::open(path).unwrap());
    let mut reader = png::Decoder::new(file).read_info().unwrap();
    let mut bytes = vec![0; reader.output_buffer_size().unwrap()];
    let frame = reader.next_frame(&mut bytes).unwrap();
    let each = frame.color_type.samples();
    let dots = bytes[..frame.buffer_size()].chunks(each);
    dots.map(|dot| [dot[0], dot[1], dot[2]].map(f64::from))
        .collect()
}

/// Share of the dots of a picture that have about this colour.
fn share(dots: &[[f64; 3]], colour: Color32) -> f64 {
    let wanted = [colour.r(), colour.g(), colour.b()].map(f64::from);
    let near = dots.iter().filter(|dot| {
        let off: f64 = dot.iter().zip(wanted).map(|(a, b)| (a - b).powi(2)).sum();
        off.sqrt() < 16.0
    });
    near.count() as f64 / dots.len() as f64
}

/// Writes the picture of the harness and its plot.
fn picture(job: Job, path: &Path) -> Vec<[f64; 3]> {
    let mut harness = window(job, LAPTOP);
    command(&mut harness, "export pictures");
    click(&mut harness, "As PNG");
    click(&mut harness, "Path of the picture");
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    let field = harness.get_by_label("Path of the picture");
    field.type_text(&path.display().to_string());
    settle(&mut harness);
    click(&mut harness, "Write it");
    dots(path)
}

/// A swelling of about 90 by 50 points on a picture of 1000 by 620 is 0.7 per cent of it (calculated).
#[test]
fn in_the_written_picture_the_suspect_stands_out_also_in_grey() {
    let folder = tempfile::tempdir().unwrap();
    let found = picture(sample(), &folder.path().join("read.png"));
    let hatched = [DAY.suspect, DAY.suspect_wash].map(|colour| share(&found, colour));
    assert!(hatched.iter().sum::<f64>() > 0.005, "{hatched:?}");
    assert!(hatched.iter().all(|share| *share > 0.001), "{hatched:?}");
    let mut unread = sample();
    unread.log.clear();
    let unread = picture(unread, &folder.path().join("unread.png"));
    let none = share(&unread, DAY.suspect_wash);
    assert!(none < 0.0005, "{none}");
    // Relative luminance and contrast: WCAG 2.2, definitions (W3C, 2023); 3 to 1 is its bound for graphics (1.4.11).
    let luminance = |colour: Color32| {
        let linear = [colour.r(), colour.g(), colour.b()].map(|byte| {
            let c = f64::from(byte) / 255.0;
            if c <= 0.04045 {
                c / 12.92
            } else {
                ((c + 0.055) / 1.055).powf(2.4)
            }
        });
        0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    };
    for ground in [DAY.suspect_wash, DAY.sheet] {
        let contrast = (luminance(ground) + 0.05) / (luminance(DAY.suspect) + 0.05);
        assert!(contrast > 3.0, "{contrast}");
    }
}
