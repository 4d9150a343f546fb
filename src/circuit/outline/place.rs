//! Joining the parts of an outline's line: which point of a part a line comes to, and over which wire.

use super::{
    OutlineError,
    read::{Reader, Tail, push, shown},
    words::{AT, Class},
};
use crate::circuit::{Point, Terminal, check::MAX_PINS, stock};

impl Reader {
    /// Joins a part to where the line has come to; returns where the line is then.
    pub(super) fn place(
        &mut self,
        class: Class,
        index: usize,
        id: &str,
        terminal: Option<&str>,
        direct: bool,
        tail: Tail,
    ) -> Result<Tail, OutlineError> {
        if direct
            && !(matches!(tail, Tail::Point(_)) && matches!(class, Class::Sensor | Class::Ground))
        {
            return self.fail(
                format!("“{AT} {id}” needs a point before it and a sensor or ground behind it"),
                format!("take “{AT}” away, or write it behind a splice, e.g. SP1 {AT} S1"),
            );
        }
        let (entry, exit) = match (class, terminal) {
            (Class::Wire, None) => return self.begin_wire(id, tail),
            (Class::Sensor, _) => return self.place_sensor(index, id, terminal, direct, tail),
            (Class::Ground, None) => return self.place_ground(index, id, tail),
            (Class::Connector, _) => match pin_and_side(terminal) {
                Some((pin, far)) => {
                    let pins = &mut self.circuit.connectors[index].pins;
                    pins.resize(pins.len().max(pin.into()), stock::pin());
                    let (near_side, far_side) = (Terminal::Near(pin), Terminal::Far(pin));
                    if far {
                        (far_side, near_side)
                    } else {
                        (near_side, far_side)
                    }
                }
                None => {
                    return self.no_terminal(
                        id,
                        terminal,
                        "C1.2 for pin 2, C1.2f for its far side",
                    );
                }
            },
            (Class::Module, None | Some("feed")) => (Terminal::Feed(1), Terminal::Feed(1)),
            (Class::Module, Some("return")) => (Terminal::Return, Terminal::Return),
            (Class::Module, Some(text)) => {
                let number = text
                    .strip_prefix("feed")
                    .and_then(|digits| digits.parse::<u8>().ok());
                let Some(number) = number.filter(|number| (1..=MAX_PINS).contains(number)) else {
                    return self.no_terminal(id, terminal, "M1, M1.feed2 or M1.return");
                };
                let supply = &mut self.circuit.supplies[index];
                supply.feed_pins = supply.feed_pins.max(number);
                (Terminal::Feed(number), Terminal::Feed(number))
            }
            (Class::Fuse, None | Some("in")) => (Terminal::In, Terminal::Out),
            (Class::Fuse, Some("out")) => (Terminal::Out, Terminal::In),
            (Class::Splice | Class::Rail, None) => (Terminal::Only, Terminal::Only),
            (Class::Wire | Class::Splice | Class::Rail | Class::Ground | Class::Fuse, Some(_)) => {
                return self.no_terminal(id, terminal, "the designation alone");
            }
        };
        self.arrive(tail, &Point::new(id, entry))?;
        Ok(Tail::Point(Point::new(id, exit)))
    }

    fn no_terminal<T>(
        &self,
        id: &str,
        terminal: Option<&str>,
        right: &str,
    ) -> Result<T, OutlineError> {
        let terminal = shown(terminal.unwrap_or_default());
        self.fail(
            format!("{id} has no “{terminal}”"),
            format!("write {right}"),
        )
    }

    fn begin_wire(&mut self, id: &str, tail: Tail) -> Result<Tail, OutlineError> {
        match tail {
            Tail::Point(from) => {
                let wire = push(&mut self.circuit.wires, stock::wire(id, from.clone(), from));
                self.open.insert(wire, self.line);
                Ok(Tail::Wire(wire))
            }
            Tail::Root => self.fail(
                format!("{id} begins nowhere"),
                "indent it below the part that it begins at, e.g. below M1",
            ),
            Tail::Wire(before) => self.fail(
                format!(
                    "{} and {id} follow each other",
                    self.circuit.wires[before].id
                ),
                "write the splice or connector that joins them in between",
            ),
            Tail::Taken(before) => self.wire_is_taken(before),
        }
    }

    fn wire_is_taken<T>(&self, wire: usize) -> Result<T, OutlineError> {
        self.fail(
            format!("{} leads somewhere already", self.circuit.wires[wire].id),
            "put a splice at its end to branch there",
        )
    }

    fn place_ground(&mut self, index: usize, id: &str, tail: Tail) -> Result<Tail, OutlineError> {
        let own = Point::new(id, Terminal::Only);
        let is_placed = !self.placed.insert(own.clone());
        let at = match &tail {
            Tail::Point(point) => point.clone(),
            _ => own.clone(),
        };
        let ground = &mut self.circuit.grounds[index];
        if is_placed && (at != own || ground.at != own) {
            let before = ground.at.to_string();
            return self.fail(
                format!("{id} stands at {before} already"),
                "use another ground point, or a wire to a splice",
            );
        }
        ground.at = at.clone();
        if at == own {
            self.arrive(tail, &own)?;
        }
        Ok(Tail::Point(at))
    }

    fn place_sensor(
        &mut self,
        index: usize,
        id: &str,
        terminal: Option<&str>,
        direct: bool,
        tail: Tail,
    ) -> Result<Tail, OutlineError> {
        let own = |terminal| Point::new(id, terminal);
        let (feed, ret) = (own(Terminal::Feed(1)), own(Terminal::Return));
        let end = match terminal {
            Some("feed") => feed,
            Some("return") => ret,
            None if !self.placed.contains(&feed) => feed,
            None if !self.placed.contains(&ret) => ret,
            None => {
                return self.fail(
                    format!("feed and return of {id} have their place already"),
                    format!("write {id}.feed or {id}.return to lead another wire there"),
                );
            }
            Some("signal") if !direct => {
                self.circuit.loads[index].signal_fraction.get_or_insert(0.5);
                let signal = own(Terminal::Signal);
                self.arrive(tail, &signal)?;
                return Ok(Tail::Point(signal));
            }
            Some(_) => {
                return self.no_terminal(id, terminal, "S1, S1.feed, S1.return or S1.signal");
            }
        };
        let at = match &tail {
            Tail::Point(point)
                if direct || matches!(point.terminal, Terminal::Near(_) | Terminal::Far(_)) =>
            {
                point.clone()
            }
            _ => end.clone(),
        };
        let is_placed = !self.placed.insert(end.clone());
        let load = &mut self.circuit.loads[index];
        let place = if end.terminal == Terminal::Return {
            &mut load.ret
        } else {
            &mut load.feed
        };
        if is_placed && (at != end || *place != end) {
            let before = place.to_string();
            return self.fail(
                format!("{end} sits at {before} already"),
                "take one of the two mentions away",
            );
        }
        *place = at.clone();
        if at == end {
            self.arrive(tail, &end)?;
        }
        Ok(Tail::Point(at))
    }

    /// Leads the line to a point, over the wire that is open or over one that was left out.
    pub(super) fn arrive(&mut self, tail: Tail, to: &Point) -> Result<(), OutlineError> {
        let (wire, from) = match tail {
            Tail::Root => return Ok(()),
            Tail::Taken(wire) => return self.wire_is_taken(wire),
            Tail::Wire(wire) => (Some(wire), self.circuit.wires[wire].from.clone()),
            Tail::Point(from) => (None, from),
        };
        if from == *to {
            return self.fail(
                format!("a wire would begin and end at {to}"),
                "lead it to another part",
            );
        }
        match wire {
            Some(wire) => {
                self.circuit.wires[wire].to = to.clone();
                self.open.remove(&wire);
            }
            None => self.circuit.wires.push(stock::wire("", from, to.clone())),
        }
        Ok(())
    }
}

/// Reads `2`, `2n` or `2f`; nothing is pin 1 from its near side.
fn pin_and_side(terminal: Option<&str>) -> Option<(u8, bool)> {
    let Some(text) = terminal else {
        return Some((1, false));
    };
    let (digits, far) = match text.strip_suffix('f') {
        Some(digits) => (digits, true),
        None => (text.strip_suffix('n').unwrap_or(text), false),
    };
    let pin = digits
        .parse::<u8>()
        .ok()
        .filter(|pin| (1..=MAX_PINS).contains(pin))?;
    Some((pin, far))
}
