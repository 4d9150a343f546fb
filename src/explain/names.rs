//! What things, places and faults are called.

use crate::{
    circuit::{Circuit, Point, Terminal},
    diagnosis::{Interval, Position, Suspect},
    fault::{FaultKind, Site},
    quantity::{Unit, format},
    reading::{Kind, Lamp, Meter, Reading, State, Value, Wiggled, meter::NOTHING_JOINS},
};

/// An interval whose ends differ by more than this factor is shown by its ends instead of its middle (judgement).
const VAGUE: f64 = 3.0;
/// A place that is known no better than this share of the wire is anywhere on it (judgement).
const ANYWHERE: f64 = 0.75;

/// A kind of fault as a noun.
pub fn kind(kind: FaultKind) -> &'static str {
    match kind {
        FaultKind::ShortToGround => "short to ground",
        FaultKind::ShortToRail => "short to another rail",
        FaultKind::ShortBetween => "short between two wires",
        FaultKind::Open => "open",
        FaultKind::HighResistance => "high resistance",
        FaultKind::DrawsTooMuch => "draws too much",
        FaultKind::DrawsNothing => "draws nothing",
        FaultKind::SignalStuck => "signal stuck",
        FaultKind::SupplyDead => "gives nothing",
        FaultKind::SupplyLow => "gives too little",
        FaultKind::LimitsEarly => "limits too early",
        FaultKind::UndrawnShort => "short on a member that is not drawn",
    }
}

/// A thing with its fault, as it stands in a list.
///
/// ```
/// use pinchpoint::{explain::names::accusation, fault::{FaultKind, Site}};
/// assert_eq!(
///     accusation(&Site::part("S3"), FaultKind::DrawsTooMuch),
///     "S3 drawing too much (shorted inside)",
/// );
/// assert_eq!(accusation(&Site::pin("C1", 1), FaultKind::HighResistance), "C1 pin 1 high resistance");
/// assert_eq!(accusation(&Site::part("W6"), FaultKind::Open), "W6 open");
/// ```
pub fn accusation(site: &Site, kind: FaultKind) -> String {
    let part = &site.part;
    let other = site.with.as_deref().unwrap_or("another line");
    match kind {
        FaultKind::ShortToGround => format!("{} short to ground", thing(site)),
        FaultKind::ShortToRail => format!("{part} short to {other}"),
        FaultKind::ShortBetween => format!("{part} and {other} touching each other"),
        FaultKind::Open => format!("{} open", thing(site)),
        FaultKind::HighResistance => format!("{} high resistance", thing(site)),
        FaultKind::DrawsTooMuch => format!("{part} drawing too much (shorted inside)"),
        FaultKind::DrawsNothing => format!("{part} drawing nothing (open inside)"),
        FaultKind::SignalStuck => format!("{part} holding its signal (stuck inside)"),
        FaultKind::SupplyDead => format!("{part} giving nothing"),
        FaultKind::SupplyLow => format!("{part} giving too little"),
        FaultKind::LimitsEarly => format!("{part} limiting too early"),
        FaultKind::UndrawnShort => {
            format!("a member at {part} that is not drawn, short to ground")
        }
    }
}

/// A thing without its fault: `W7`, `C1 pin 1`.
pub fn thing(site: &Site) -> String {
    site.pin.map_or_else(
        || site.part.clone(),
        |pin| format!("{} pin {pin}", site.part),
    )
}

/// The thing to open up, in a few words: where a group of suspects is listed.
pub fn place(site: &Site, kind: FaultKind) -> String {
    match (kind, &site.with) {
        (FaultKind::UndrawnShort, _) => format!("a member at {} that is not drawn", site.part),
        (FaultKind::ShortBetween, Some(other)) => format!("{} and {other}", site.part),
        _ => thing(site),
    }
}

/// What people call the thing and where on the vehicle it is, as far as that was noted; the same of a rail it touches.
pub fn known_as(circuit: &Circuit, site: &Site) -> String {
    let parts = [Some(site.part.as_str()), site.with.as_deref()];
    let known = parts.into_iter().flatten().map(|id| noted(circuit, id));
    let known: Vec<String> = known.filter(|text| !text.is_empty()).collect();
    known.join(" · ")
}

/// What people call a part and where on the vehicle it is: `C2: sill, left`; empty where nothing was noted.
pub fn noted(circuit: &Circuit, id: &str) -> String {
    let said = (circuit.part(id)).map_or(["", ""], |part| [part.name(), part.place()]);
    let said: Vec<&str> = said.into_iter().filter(|text| !text.is_empty()).collect();
    if said.is_empty() {
        return String::new();
    }
    format!("{id}: {}", said.join(", "))
}

/// A part with what people call it: `S3, ride height rear left`; only the designation where it has no name.
pub fn called(circuit: &Circuit, id: &str) -> String {
    match circuit.part(id).map(|part| part.name()) {
        Some(name) if !name.is_empty() => format!("{id}, {name}"),
        _ => id.to_owned(),
    }
}

/// A point in words.
///
/// ```
/// use pinchpoint::explain::names::point;
/// assert_eq!(point(&"M1.feed".parse().unwrap()), "M1 feed pin");
/// assert_eq!(point(&"C2.1f".parse().unwrap()), "C2 pin 1, far side");
/// assert_eq!(point(&"SP1".parse().unwrap()), "SP1");
/// ```
pub fn point(point: &Point) -> String {
    if point.is_battery_negative() {
        return "battery negative".to_owned();
    }
    let part = &point.part;
    match point.terminal {
        Terminal::Only => part.clone(),
        Terminal::Feed(1) => format!("{part} feed pin"),
        Terminal::Feed(n) => format!("{part} feed pin {n}"),
        Terminal::Return => format!("{part} return pin"),
        Terminal::Signal => format!("{part} signal"),
        Terminal::Near(n) => format!("{part} pin {n}, near side"),
        Terminal::Far(n) => format!("{part} pin {n}, far side"),
        Terminal::In => format!("{part}, supply side"),
        Terminal::Out => format!("{part}, load side"),
    }
}

/// A value that a display may show, no finer than the meter's step.
pub fn on_display(meter: &Meter, kind: Kind, value: f64) -> String {
    if is_coarse(meter, kind, value) {
        return format::as_noted(value, Some(meter.step(kind, value)), kind.unit());
    }
    expected(value, kind.unit())
}

/// Whether the three figures that are shown of a value would be finer than the meter's step.
pub fn is_coarse(meter: &Meter, kind: Kind, value: f64) -> bool {
    value.abs() < 100.0 * meter.step(kind, value)
}

/// The part at the end of a wire, from which metres count.
pub fn end(point: &Point) -> String {
    match point.terminal {
        Terminal::Near(n) | Terminal::Far(n) => format!("{} pin {n}", point.part),
        Terminal::Only => point.shown(),
        _ => point.part.clone(),
    }
}

/// Where both leads were, in which wire a current was read, where a lamp was clipped on, which module was asked.
pub fn leads(reading: &Reading) -> String {
    let at = match reading.kind {
        Kind::Volts | Kind::Ohms => "",
        Kind::Amperes => "in series at ",
        Kind::Clamp => "clamp at ",
        Kind::Lamp(Lamp::Filament) => "test lamp at ",
        Kind::Lamp(Lamp::Led) => "LED at ",
        Kind::Scan => return format!("scan of {}", reading.red.part),
    };
    format!("{at}{}", both(reading))
}

fn both(reading: &Reading) -> String {
    if reading.black.is_battery_negative() {
        point(&reading.red)
    } else {
        format!("{} to {}", point(&reading.red), point(&reading.black))
    }
}

/// A list: `C1`, `C1 and C2`, `C1, C2 and C3`.
pub fn list<S: AsRef<str>>(items: &[S], last: &str) -> String {
    let mut text = String::new();
    for (index, item) in items.iter().enumerate() {
        if index > 0 {
            if index + 1 == items.len() {
                text.push_str(&format!(" {last} "));
            } else {
                text.push_str(", ");
            }
        }
        text.push_str(item.as_ref());
    }
    text
}

/// How the circuit stood.
pub fn state(state: &State) -> String {
    let mut parts = Vec::new();
    let named = |names: &std::collections::BTreeSet<String>| {
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        list(&names, "and")
    };
    if state.unplugged.is_empty() {
        parts.push("all plugged".to_owned());
    } else {
        parts.push(format!("{} unplugged", named(&state.unplugged)));
    }
    if !state.unknown.is_empty() {
        parts.push(format!("{} not known", named(&state.unknown)));
    }
    if state.supply_off {
        parts.push("supply off".to_owned());
    }
    for load in &state.attached {
        let ohms = crate::quantity::units::as_ohms(load.resistance);
        parts.push(format!(
            "{} clipped on at {}",
            format::as_read(ohms, Unit::Ohms),
            point(&load.from)
        ));
    }
    parts.join(", ")
}

/// How the circuit stood for a reading, and what was moved while it was read.
pub fn stood(reading: &Reading) -> String {
    state(&reading.state) + &moved(reading)
}

/// What was moved while a reading was taken, in words that follow its state; empty where nothing was.
pub fn moved(reading: &Reading) -> String {
    let told = |moved: &Wiggled| {
        let how = if moved.changed {
            "changed it"
        } else {
            "changed nothing"
        };
        format!(", moving {} {how}", moved.place)
    };
    reading.wiggled.iter().map(told).collect()
}

/// What the display showed.
pub fn shown(reading: &Reading) -> String {
    shown_value(reading.value, reading.kind, reading.noted_to())
}

/// What a display showed, `noted` being worth the last digit that was written down, where that is known.
pub fn shown_value(value: Value, kind: Kind, noted: Option<f64>) -> String {
    let unit = kind.unit();
    match value {
        Value::Exactly(value) => format::as_noted(value, noted, unit),
        Value::OverRange { above: None } => "OL".to_owned(),
        Value::OverRange { above: Some(top) } => {
            format!("OL (over {})", format::as_read(top, unit))
        }
        Value::Between(low, high) => format!(
            "{} to {}",
            format::as_read(low, unit),
            format::as_read(high, unit)
        ),
        Value::Seen(seen) => seen.word().to_owned(),
    }
}

/// What should be read with nothing wrong: a value, or the values between which it hinges on a supply's limit.
pub fn should(mean: f64, hinges: Option<(f64, f64)>, unit: Unit) -> String {
    hinges.map_or_else(
        || expected(mean, unit),
        |(low, high)| format::interval(low, high, unit),
    )
}

/// What a meter would show of an expected value: no microvolts, and OL where nothing joins two points.
pub fn expected(value: f64, unit: Unit) -> String {
    let (least, most) = match unit {
        Unit::Volts => (5e-5, f64::INFINITY),
        Unit::Ohms => (0.05, NOTHING_JOINS),
        Unit::Amperes => (5e-6, f64::INFINITY),
        Unit::Metres | Unit::Minutes => (0.0, f64::INFINITY),
    };
    if value.abs() < least {
        format!("0 {}", unit.symbol())
    } else if value > most {
        "OL".to_owned()
    } else {
        format::si(value, unit)
    }
}

/// A resistance with its spread: `about 4.7 Ω`, or its two ends where it is hardly known.
pub fn about(ohms: Interval) -> String {
    if is_known(ohms) {
        format!("about {}", two_digits(ohms.median))
    } else {
        format::interval(ohms.low, ohms.high, Unit::Ohms)
    }
}

/// Whether a resistance is known well enough to be told by its middle.
pub fn is_known(ohms: Interval) -> bool {
    ohms.high <= VAGUE * ohms.low
}

/// Ohms with two digits; what is “about” has no third.
fn two_digits(ohms: f64) -> String {
    let step = 10f64.powf(ohms.abs().max(1e-3).log10().floor() - 1.0);
    format::as_read((ohms / step).round() * step, Unit::Ohms)
}

/// Whether a place along a wire says more than “somewhere on it”.
pub fn is_placed(position: &Position) -> bool {
    position.metres.high - position.metres.low <= ANYWHERE * position.length
}

/// `1.4 m`, or with centimetres where they are known.
fn metres(at: f64, width: f64) -> String {
    if width >= 0.1 {
        format!("{at:.1} m")
    } else {
        format!("{at:.2} m")
    }
}

/// `about 1.4 m past SP2`; nothing where it is anywhere on the wire.
pub fn past(position: &Position) -> Option<String> {
    let width = position.metres.high - position.metres.low;
    is_placed(position).then(|| {
        format!(
            "about {} past {}",
            metres(position.metres.median, width),
            end(&position.from)
        )
    })
}

/// `0.9 to 1.9 m from SP2 of 2.4 m`.
pub fn stretch(position: &Position) -> String {
    let length = metres(position.length, position.length);
    if !is_placed(position) {
        return format!("anywhere along its {length}");
    }
    let (low, high) = (position.metres.low, position.metres.high);
    let width = high - low;
    let low = metres(low, width);
    format!(
        "{} to {} from {} of {length}",
        low.trim_end_matches(" m"),
        metres(high, width),
        end(&position.from)
    )
}

/// `R 4.2 to 5.4 Ω`.
pub fn resistance(ohms: Interval) -> String {
    format!("R {}", format::interval(ohms.low, ohms.high, Unit::Ohms))
}

/// What a suspect's bar is labelled with: `W7, SP2 to X3`, `S3, inside`, `C1 pin 1, high resistance`.
pub fn label(circuit: &Circuit, suspect: &Suspect) -> String {
    let site = &suspect.site;
    let wire = circuit.wire(&site.part);
    let ends = wire.map_or_else(String::new, |wire| {
        format!(", {} to {}", end(&wire.from), end(&wire.to))
    });
    match suspect.kind {
        FaultKind::ShortToGround if wire.is_some() => format!("{}{ends}", site.part),
        FaultKind::DrawsTooMuch => format!("{}, shorted inside", site.part),
        FaultKind::DrawsNothing => format!("{}, open inside", site.part),
        FaultKind::SignalStuck => format!("{}, signal stuck inside", site.part),
        FaultKind::UndrawnShort => format!("{}, a member not drawn", site.part),
        FaultKind::ShortBetween | FaultKind::ShortToRail => accusation(site, suspect.kind),
        _ => format!("{}, {}", thing(site), kind(suspect.kind)),
    }
}
