//! What is doubtful in a record: nothing of it is fatal, as a record never stands in the way of an answer.

use super::{Attachment, Identity, Record, TroubleCode, day, identity};
use crate::{
    diagnosis::Problem,
    notebook::trouble::excerpt,
    quantity::units::{as_minutes, as_volts},
};

/// Minutes above which a step is taken for a slip of the pen: three days.
const MOST_MINUTES: f64 = 72.0 * 60.0;
/// Volts of a vehicle's low-voltage battery, from dead to a 24 V system on the charger (common practice, no source).
const BATTERY_V: std::ops::RangeInclusive<f64> = 0.0..=33.0;

/// Everything doubtful, in the order of the record.
pub fn doubts(record: &Record) -> Vec<Problem> {
    let mut found = Vec::new();
    vehicle(record, &mut found);
    days(record, &mut found);
    for (index, code) in record.codes.iter().enumerate() {
        if let Err(why) = TroubleCode::read(&code.code) {
            found.push(doubt(
                format!("code {}", index + 1),
                format!(
                    "“{}” has not the usual form of a code: {why}",
                    excerpt(&code.code)
                ),
                "copy it from the scan once more; a maker's own form may stay as it is",
            ));
        }
    }
    for (index, work) in record.work.iter().enumerate() {
        let minutes = as_minutes(work.took);
        if !(0.0..=MOST_MINUTES).contains(&minutes) {
            found.push(doubt(
                format!("step {} of the work", index + 1),
                format!("{minutes} minutes cannot be right"),
                "give the minutes of this one step",
            ));
        }
    }
    for attachment in &record.attachments {
        if !is_hash(attachment) {
            found.push(doubt(
                "attachments".to_owned(),
                format!(
                    "“{}” has no proper hash, so its file cannot be found",
                    excerpt(&attachment.name)
                ),
                "attach the file again",
            ));
        }
    }
    if !record.is_signed() && !record.amendments.is_empty() {
        found.push(doubt(
            "amendments".to_owned(),
            "something was added after the sign-off, but nobody has signed".to_owned(),
            "sign, or write it where it belongs",
        ));
    }
    found
}

/// Days that are none, or that nobody can tell.
fn days(record: &Record, found: &mut Vec<Problem>) {
    let own = [
        ("date".to_owned(), &record.date),
        ("sign-off".to_owned(), &record.sign_off.date),
    ];
    let added = (1..).zip(&record.amendments);
    let added = added.map(|(number, added)| (format!("addition {number}"), &added.date));
    for (place, text) in own.into_iter().chain(added) {
        let what = day::read(text).doubt(text);
        found.extend(what.map(|what| doubt(place, what, day::REMEDY)));
    }
}

fn vehicle(record: &Record, found: &mut Vec<Problem>) {
    let number = "identification number";
    match identity(&record.vehicle.identification) {
        Identity::Missing | Identity::Fits => {}
        Identity::OtherForm(why) => found.push(doubt(
            number.to_owned(),
            format!("it has not the form of ISO 3779: {why}"),
            "compare it with the plate; older and non-road vehicles may have another form",
        )),
        Identity::CheckDigit { given, fits } => found.push(doubt(
            number.to_owned(),
            format!("its ninth place is {given}, and {fits} would fit as a check digit"),
            "compare it with the plate; outside North America no check digit is required",
        )),
    }
    if let Some(volts) = record.vehicle.battery.map(as_volts)
        && !BATTERY_V.contains(&volts)
    {
        found.push(doubt(
            "battery".to_owned(),
            format!("{volts} V is no usual battery"),
            "give the volts of the low-voltage battery at arrival",
        ));
    }
}

/// Whether an attachment has a hash that can name a file.
pub fn is_hash(attachment: &Attachment) -> bool {
    let text = &attachment.sha256;
    let digit = |sign: u8| sign.is_ascii_digit() || (b'a'..=b'f').contains(&sign);
    text.len() == 64 && text.bytes().all(digit)
}

fn doubt(place: String, what: String, remedy: &str) -> Problem {
    Problem {
        place,
        what,
        remedy: remedy.to_owned(),
        fatal: false,
    }
}
