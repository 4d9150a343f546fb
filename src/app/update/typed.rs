//! A reading as it was typed: its points by its kind, and what the display showed.

use crate::{
    app::{
        command::Typing,
        model::{Model, Refusal},
        points::{has_whole_current, wire_ends},
        words,
    },
    circuit::{Circuit, Point},
    quantity::{Typed, TypedError, Unit, typed, typed_number, typed_step},
    reading::{Kind, Reading, Seen, Value},
};

/// The reading, without a state.
pub(super) fn read(model: &Model, typing: &Typing) -> Result<Reading, Refusal> {
    let place = words::point(&typing.red);
    for point in [&typing.red, &typing.black] {
        if !model.job.circuit.has_point(point) {
            return Err(Refusal::new(
                point.shown(),
                format!("there is no point {} on this sketch", point.shown()),
                "Click the point on the drawing, or type its name as it stands there",
            ));
        }
    }
    let (red, black) = leads(&model.job.circuit, typing)?;
    if red == black {
        return Err(Refusal::new(
            place,
            "both leads are at the same point",
            "Choose another point for the red lead",
        ));
    }
    Ok(Reading {
        kind: typing.kind,
        black,
        value: shown(typing.kind, &red, &typing.text)?,
        step: typed_step(&typing.text, typing.kind.unit()),
        ..Reading::volts(red, 0.0)
    })
}

/// Where the leads are: for a current the ends of a wire, for a scan the feed and return of the module.
fn leads(circuit: &Circuit, typing: &Typing) -> Result<(Point, Point), Refusal> {
    let (red, black) = (typing.red.clone(), typing.black.clone());
    match typing.kind {
        kind if kind.is_current() => {
            let ends = wire_ends(circuit, &red);
            let whole = has_whole_current(circuit, &red);
            if ends.contains(&black) {
                Ok((red, black))
            } else if whole {
                Ok((red, Point::battery_negative()))
            } else if let [only] = &ends[..] {
                Ok((red, only.clone()))
            } else {
                Err(Refusal::new(
                    words::point(&red),
                    if ends.is_empty() {
                        "no wire ends here in which a current could be read"
                    } else {
                        "several wires meet here, and each has its own current"
                    },
                    "Choose the wire under “Current in”, or read at a pin",
                ))
            }
        }
        Kind::Scan => {
            let asked = circuit
                .loads
                .iter()
                .find(|load| load.id == red.part || load.feed == red);
            Ok(asked.map_or((red, black), |load| (load.feed.clone(), load.ret.clone())))
        }
        _ => Ok((red, black)),
    }
}

/// What was typed as the value of a kind of reading.
pub(super) fn shown(kind: Kind, red: &Point, text: &str) -> Result<Value, Refusal> {
    let place = words::point(red);
    let may = kind.seen();
    if !may.is_empty() {
        let words: Vec<&str> = may.iter().map(|seen| seen.word()).collect();
        return match Seen::read(text).filter(|seen| may.contains(seen)) {
            Some(seen) => Ok(Value::Seen(seen)),
            None => Err(Refusal::new(
                place,
                format!("no number is read here, but {}", words.join(" or ")),
                "Press what was seen",
            )),
        };
    }
    let value =
        value_of(text, kind.unit()).map_err(|error| Refusal::new(&place, error.to_string(), ""))?;
    let lowest = match value {
        Value::Exactly(number) | Value::Between(number, _) => number,
        Value::OverRange { .. } | Value::Seen(_) => 0.0,
    };
    if kind == Kind::Ohms && lowest < 0.0 {
        return Err(Refusal::new(
            place,
            "ohms below zero mean that the circuit is live",
            "Switch the supply off, wait until it is dead, and read again",
        ));
    }
    Ok(value)
}

/// What was typed; `OL 6` and `>6` are over-range displays on a range up to 6.
fn value_of(text: &str, unit: Unit) -> Result<Value, TypedError> {
    let error = match typed(text, unit) {
        Ok(Typed::Number(number)) => return Ok(Value::Exactly(number)),
        Ok(Typed::OverRange) => return Ok(Value::OverRange { above: None }),
        Ok(Typed::Between(low, high)) => return Ok(Value::Between(low, high)),
        Err(error) => error,
    };
    let text = text.trim();
    let top = ["OL", "ol", "Ol", "0L", "0l", ">"]
        .iter()
        .find_map(|sign| text.strip_prefix(sign));
    match top.map(|top| typed_number(top, unit)) {
        Some(Ok(above)) if above > 0.0 => Ok(Value::OverRange { above: Some(above) }),
        _ => Err(error),
    }
}
