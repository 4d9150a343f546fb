//! How a job's text is laid out: every part and every line of the log on a line of its own, so that two saves
//! can be compared line by line.

use ron::ser::PrettyConfig;
use serde::Serialize;

use super::{Job, Record};
use crate::circuit::Circuit;

const INDENT: &str = "    ";

struct Page<'a> {
    text: String,
    options: &'a ron::Options,
}

impl Page<'_> {
    fn line(&mut self, depth: usize, text: &str) {
        for _ in 0..depth {
            self.text.push_str(INDENT);
        }
        self.text.push_str(text);
        self.text.push('\n');
    }

    /// A value on one line.
    fn inline<T: Serialize>(&self, value: &T) -> ron::Result<String> {
        let config = PrettyConfig::new()
            .depth_limit(0)
            .separate_tuple_members(false);
        self.options.to_string_pretty(value, config)
    }

    fn field<T: Serialize>(&mut self, depth: usize, name: &str, value: &T) -> ron::Result<()> {
        let value = self.inline(value)?;
        self.line(depth, &format!("{name}: {value},"));
        Ok(())
    }

    fn list<T: Serialize>(&mut self, depth: usize, name: &str, items: &[T]) -> ron::Result<()> {
        if items.is_empty() {
            self.line(depth, &format!("{name}: [],"));
            return Ok(());
        }
        self.line(depth, &format!("{name}: ["));
        for item in items {
            let item = self.inline(item)?;
            self.line(depth + 1, &format!("{item},"));
        }
        self.line(depth, "],");
        Ok(())
    }
}

impl Page<'_> {
    /// The record, without what is empty in it.
    fn record(&mut self, depth: usize, record: &Record) -> ron::Result<()> {
        if record.is_empty() {
            return Ok(());
        }
        let Record {
            vehicle,
            date,
            technician,
            arrival,
            cause,
            correction,
            remains,
            codes,
            modules,
            parts,
            work,
            follow_up,
            checks,
            attachments,
            sign_off,
            amendments,
        } = record;
        self.line(depth, "record: (");
        let depth_in = depth + 1;
        self.given(depth_in, "vehicle", vehicle)?;
        self.given(depth_in, "date", date)?;
        self.given(depth_in, "technician", technician)?;
        self.given(depth_in, "arrival", arrival)?;
        self.given(depth_in, "cause", cause)?;
        self.given(depth_in, "correction", correction)?;
        self.given(depth_in, "remains", remains)?;
        self.listed(depth_in, "codes", codes)?;
        self.listed(depth_in, "modules", modules)?;
        self.listed(depth_in, "parts", parts)?;
        self.listed(depth_in, "work", work)?;
        self.listed(depth_in, "follow_up", follow_up)?;
        self.listed(depth_in, "checks", checks)?;
        self.listed(depth_in, "attachments", attachments)?;
        self.given(depth_in, "sign_off", sign_off)?;
        self.listed(depth_in, "amendments", amendments)?;
        self.line(depth, "),");
        Ok(())
    }

    /// A field that is not written while it says nothing.
    fn given<T: Serialize + Default + PartialEq>(
        &mut self,
        depth: usize,
        name: &str,
        value: &T,
    ) -> ron::Result<()> {
        if *value == T::default() {
            return Ok(());
        }
        self.field(depth, name, value)
    }

    /// A list that is not written while it is empty.
    fn listed<T: Serialize>(&mut self, depth: usize, name: &str, items: &[T]) -> ron::Result<()> {
        if items.is_empty() {
            return Ok(());
        }
        self.list(depth, name, items)
    }
}

/// The text of a file with its format name and version around the job.
///
/// # Errors
/// What the RON writer refuses.
pub fn lay_out(
    format: &str,
    version: u32,
    options: &ron::Options,
    job: &Job,
) -> ron::Result<String> {
    // Named one by one, so that a new field cannot be forgotten here.
    let Job {
        title,
        vehicle,
        shop,
        request,
        notes,
        record,
        circuit,
        meter,
        log,
        now,
        out_of_reach,
    } = job;
    let Circuit {
        supplies,
        wires,
        connectors,
        splices,
        grounds,
        fuses,
        loads,
        rails,
        damage_zones,
    } = circuit;
    let mut page = Page {
        text: String::new(),
        options,
    };
    page.line(0, "(");
    page.field(1, "format", &format)?;
    page.field(1, "version", &version)?;
    page.line(1, "body: (");
    page.field(2, "title", title)?;
    page.field(2, "vehicle", vehicle)?;
    page.field(2, "shop", shop)?;
    page.field(2, "request", request)?;
    page.field(2, "notes", notes)?;
    page.record(2, record)?;
    page.line(2, "circuit: (");
    page.list(3, "supplies", supplies)?;
    page.list(3, "wires", wires)?;
    page.list(3, "connectors", connectors)?;
    page.list(3, "splices", splices)?;
    page.list(3, "grounds", grounds)?;
    page.list(3, "fuses", fuses)?;
    page.list(3, "loads", loads)?;
    page.list(3, "rails", rails)?;
    page.list(3, "damage_zones", damage_zones)?;
    page.line(2, "),");
    page.field(2, "meter", meter)?;
    page.list(2, "log", log)?;
    page.field(2, "now", now)?;
    page.given(2, "out_of_reach", out_of_reach)?;
    page.line(1, "),");
    page.line(0, ")");
    Ok(page.text)
}
