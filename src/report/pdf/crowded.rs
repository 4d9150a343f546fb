//! A job that is full of everything, on pages: nothing is cut, lies on something else, or stands alone.

use std::sync::OnceLock;

use super::{
    flow::{LEFT, Mark, PAGE, WIDTH},
    laid_out, pdf,
};
use crate::{
    circuit::{Circuit, Colour, DamageZone, quick_feed},
    fault::{FaultKind, Site},
    notebook::{
        Job, Record,
        record::{
            Answering, Code, FollowUp, FollowUpKind, FunctionCheck, PartUsed, Particulars,
            Relation, SourceSays, Work,
        },
    },
    practice::{Hidden, World},
    quantity::units::{minutes, volts},
    reading::{Entry, Kind, Reading, Repair, State},
    report::{
        Block, Photo, Reader, Report, compose, compose::Source, face, html::html, picture::Anchor,
        picture::Shape, study,
    },
};

/// Forty sensors with long names, plugs at places that take a sentence.
fn circuit() -> Circuit {
    let mut circuit = quick_feed(volts(5.0), 40, true, false);
    for (number, load) in (1..).zip(&mut circuit.loads) {
        load.name = format!("suspension travel and axle load sensor number {number}, outer row");
    }
    for connector in &mut circuit.connectors {
        connector.name = format!("connector of the outer row for {}", connector.id);
        connector.place =
            "behind the third cross-member, above the air tank, from below with the wheel off"
                .to_owned();
        connector.access = minutes(17.5);
    }
    for (number, wire) in (0..).zip(&mut circuit.wires) {
        wire.circuit_number = format!("{}", 4000 + number);
        wire.colour = ["BNRD", "GNYE", "VTWH", "BK"][number % 4]
            .parse::<Colour>()
            .ok();
    }
    circuit.damage_zones.push(DamageZone {
        note: "wet to above the sill after standing in a ford, the loom opened and taped again"
            .to_owned(),
        parts: circuit
            .wires
            .iter()
            .take(12)
            .map(|wire| wire.id.clone())
            .collect(),
        factor: 4.0,
    });
    circuit
}

/// Sixty readings with three repairs among them, as the simulated vehicle shows them.
fn log(circuit: &Circuit) -> Vec<Entry> {
    let hidden = [Hidden::new(
        Site::part(&circuit.wires[9].id),
        FaultKind::ShortToGround,
        6.0,
    )];
    let meter = Job::default().meter;
    let mut world = World::draw(circuit, &hidden, &meter, 3).expect("the faults can be there");
    let points = circuit.points();
    let ground = crate::circuit::Point::battery_negative();
    let mut log = Vec::new();
    for number in 0.. {
        if log.len() == 63 {
            break;
        }
        if let Some(part) = [19, 39, 49].iter().position(|&at| at == number) {
            let part = [&circuit.wires[9].id, &circuit.wires[30].id, "X7"][part].to_string();
            world.repair(&Site::part(&part));
            log.push(Entry::Repair(Repair {
                part,
                replaced: number == 49,
                note: "0.6 m of new wire spliced in, sleeved and clipped away from the edge it had chafed on"
                    .to_owned(),
            }));
        }
        let red = points[(number * 7) % points.len()].clone();
        let mut state = State::default();
        if number % 3 == 1 {
            state.unplugged = (1..=number % 9 + 1)
                .map(|plug| format!("X{plug}"))
                .collect();
        }
        let Ok(value) = world.measure(Kind::Volts, &red, &ground, &state) else {
            continue;
        };
        log.push(Entry::Reading(Reading {
            value,
            state,
            note: if number % 4 == 0 {
                "read twice, with the engine running and the lights on".to_owned()
            } else {
                String::new()
            },
            ..Reading::volts(red, 0.0)
        }));
    }
    log
}

fn record(job: &Job) -> Record {
    let many = 1..=14;
    Record {
        vehicle: Particulars {
            identification: "1G4AH59H45G118341".to_owned(),
            plate: "HL 4471 and trailer HL 4472".to_owned(),
            ..Particulars::default()
        },
        technician: "I. Marrow with the second-year apprentice of the Lower Dale workshop"
            .to_owned(),
        arrival: "All corners low, lamp on, the display in the cab goes dark over bumps. "
            .repeat(9),
        cause: "The loom had chafed through where it crosses the third cross-member. ".repeat(6),
        codes: many
            .clone()
            .map(|number| Code {
                code: format!("C1A{number:02X}-11"),
                text: "supply of the outer row of suspension travel sensors, circuit low"
                    .to_owned(),
                module: "levelling and axle load module, rear".to_owned(),
                before: Some(true),
                after: Some(number == 3),
            })
            .collect(),
        modules: (1..=6)
            .map(|number| Answering {
                module: format!("levelling and axle load module {number} in the frame"),
                before: Some(number % 2 == 0),
                after: Some(true),
            })
            .collect(),
        parts: (1..=9)
            .map(|number| PartUsed {
                name: "wire 0.35 mm², brown with a red stripe, heat-resistant sheath".to_owned(),
                number: format!("HLW-035-BNRD-{number:04}"),
                quantity: "0.6 m".to_owned(),
                at: job.circuit.wires[number].id.clone(),
            })
            .collect(),
        work: many
            .map(|number| Work {
                what: "Wheel and liner off, third cross-member reached from below, loom opened"
                    .to_owned(),
                took: minutes(7.0 * f64::from(number)),
                billable: number % 3 != 0,
                relation: Relation::ALL[number as usize % Relation::ALL.len()],
                reached: String::new(),
                by: "I. Marrow with the second-year apprentice".to_owned(),
            })
            .collect(),
        follow_up: vec![FollowUp {
            kind: FollowUpKind::Calibration,
            what: "ride height of all four corners and the axle load display".to_owned(),
            sources: vec![
                SourceSays {
                    source: "maker's procedure, edition 7, chapter on levelling".to_owned(),
                    says: "after a height sensor was changed or its bracket moved".to_owned(),
                };
                4
            ],
            followed: "maker's procedure, since the bracket had to come off".to_owned(),
            done: false,
            by: String::new(),
        }],
        checks: vec![
            FunctionCheck {
                what: "Raised and lowered twice with the trailer on and off".to_owned(),
                works: Some(false),
                note: "rear left stays 14 mm low".to_owned(),
            };
            5
        ],
        ..Record::default()
    }
}

/// A photo of one colour, of this many pixels (ISO/IEC 15948: signature, header, one deflated stream, end).
fn png(wide: u32, high: u32) -> Vec<u8> {
    let mut bytes = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut chunk = |kind: &[u8; 4], body: &[u8]| {
        let data = [&kind[..], body].concat();
        bytes.extend((body.len() as u32).to_be_bytes());
        bytes.extend(&data);
        bytes.extend(crc32fast::hash(&data).to_be_bytes());
    };
    let header = [
        &wide.to_be_bytes()[..],
        &high.to_be_bytes(),
        &[8, 0, 0, 0, 0],
    ]
    .concat();
    chunk(b"IHDR", &header);
    let rows = vec![0x60; (wide as usize + 1) * high as usize];
    // The first byte of a row says how it is filtered: 0, not at all.
    let rows: Vec<u8> = (rows.into_iter().enumerate())
        .map(|(at, byte)| {
            if at % (wide as usize + 1) == 0 {
                0
            } else {
                byte
            }
        })
        .collect();
    chunk(
        b"IDAT",
        &miniz_oxide::deflate::compress_to_vec_zlib(&rows, 6),
    );
    chunk(b"IEND", &[]);
    bytes
}

fn crowded_job() -> Job {
    let circuit = circuit();
    let mut job = Job {
        title:
            "CT-4471 · levelling of tractor and trailer, outer row of forty sensors, after the ford"
                .to_owned(),
        vehicle: "Corran Tender 2.2 with the long frame, second axle steered, and its trailer"
            .to_owned(),
        shop: "Halyard Lane Works, Lower Dale, third bay, with the Brackenfold paint shop"
            .to_owned(),
        request: "Sits low at the rear and will not level; four shops have looked at it. "
            .repeat(7),
        notes: "The owner wants the old pieces of the loom back in a bag. ".repeat(12),
        log: log(&circuit),
        circuit,
        ..Job::default()
    };
    job.record = record(&job);
    job
}

/// Composed once for all tests, as the engine takes its time for so much.
fn crowded() -> &'static Report {
    static REPORT: OnceLock<Report> = OnceLock::new();
    REPORT.get_or_init(compose_crowded)
}

fn compose_crowded() -> Report {
    let job = crowded_job();
    let photos: Vec<Result<Photo, String>> = (1..=12)
        .map(|number| {
            let (wide, high) = if number % 3 == 0 { (30, 40) } else { (40, 30) };
            let caption = format!("{number}: where the loom crosses the third cross-member, before the repair, with a rule beside it");
            Photo::read(png(wide, high), &caption)
        })
        .collect();
    let study = study(&job);
    let source = Source {
        job: &job,
        study: &study,
        photos: &photos,
        checksum: 7,
    };
    compose(&source, &Reader::ALL)
}

/// Left, top, right and bottom of words.
fn extent(shape: &Shape) -> Option<([f32; 4], &str)> {
    let Shape::Words {
        at,
        anchor,
        size,
        bold,
        text,
        ..
    } = shape
    else {
        return None;
    };
    let wide = face::width(text, *size, *bold);
    let left = match anchor {
        Anchor::Start => at.0,
        Anchor::Middle => at.0 - wide / 2.0,
        Anchor::End => at.0 - wide,
    };
    // From the height of a small letter to the base line, so that lines that only stand close do not count.
    Some(([left, at.1 - 0.5 * size, left + wide, at.1], text))
}

#[test]
fn a_crowded_job_has_nothing_cut_or_covered_on_any_page() {
    let report = crowded();
    let flow = laid_out(report);
    let mut troubles = Vec::new();
    for (number, page) in (1..).zip(&flow.pages) {
        let words: Vec<([f32; 4], &str)> = page
            .iter()
            .filter_map(|mark| match mark {
                Mark::Shape(shape) => extent(shape),
                Mark::Photo(..) => None,
            })
            .collect();
        for (index, (one, text)) in words.iter().enumerate() {
            if one[0] < 8.0
                || one[2] > LEFT + WIDTH + 1.0
                || one[1] < 20.0
                || one[3] > PAGE.1 - 36.0
            {
                troubles.push(format!("page {number}: “{text}” is off the paper: {one:?}"));
            }
            for (other, below) in &words[index + 1..] {
                let apart = one[2] <= other[0] + 0.2
                    || other[2] <= one[0] + 0.2
                    || one[3] <= other[1]
                    || other[3] <= one[1];
                if !apart {
                    troubles.push(format!(
                        "page {number}: “{text}” and “{below}” lie on one another"
                    ));
                }
            }
        }
        let last = words.iter().map(|(at, _)| at[3]).fold(0.0, f32::max);
        let photo = page.iter().any(|mark| matches!(mark, Mark::Photo(..)));
        if number < flow.pages.len() && last < PAGE.1 / 3.0 && !photo {
            troubles.push(format!("page {number} is nearly empty"));
        }
    }
    assert!(troubles.is_empty(), "{}", troubles.join("\n"));
    let photos = flow.pages.iter().flatten();
    let photos = photos.filter(|mark| matches!(mark, Mark::Photo(..)));
    assert_eq!(photos.count(), 12);
}

#[test]
fn what_a_crowded_job_says_is_all_there() {
    let report = crowded();
    assert!(pdf(report).is_ok());
    let page = html(report);
    let readings = report.sections.iter().flat_map(|section| &section.blocks);
    let rows = readings.filter_map(|block| match block {
        Block::Table(table) if table.columns[0].name == "Line" => Some(table.rows.len()),
        _ => None,
    });
    assert_eq!(rows.sum::<usize>(), crowded_job().log.len());
    for words in [
        "connector of the outer row for X40",
        "12: where the loom crosses",
        "HLW-035-BNRD-0009",
    ] {
        assert!(page.contains(words), "{words}");
    }
}
