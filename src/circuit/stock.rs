//! Parts as they are when nothing but their place is known: the defaults of new parts (judgement, no source).

use std::collections::HashSet;

use super::{
    Circuit, ConductorSize, Connector, Fuse, Ground, LimitMode, Load, LoadModel, Pin, Point, Rail,
    Splice, Supply, Wire,
    part::{CONTACT_OHM, STRAP_OHM},
};
use crate::quantity::{
    Volts,
    units::{
        as_amperes, as_ohms, as_volts, milliamperes, minutes, ohms, square_millimetres, volts,
    },
};

/// Minutes to reach an inline connector; estimates run from 3 to 10.
pub const INLINE_MINUTES: f64 = 5.0;
/// Minutes to reach a sensor plug; estimates run from 1 to 3 at the top of an engine and up to 25 elsewhere.
pub const PLUG_MINUTES: f64 = 3.0;
/// Square millimetres of a new wire (judgement).
pub const WIRE_MM2: f64 = 0.5;
/// Milliamperes that an electronic sensor draws (judgement).
pub const SENSOR_MA: f64 = 8.0;
/// Spread of a sensor's draw, percent; also the default of the files.
pub const SPREAD_PERCENT: f64 = 10.0;
/// Milliamperes at which a new fuse is rated (judgement).
pub const FUSE_MA: f64 = 5000.0;

/// A module's output of which only the nominal voltage is known.
pub fn supply(id: impl Into<String>, nominal: Volts) -> Supply {
    Supply {
        id: id.into(),
        name: String::new(),
        nominal,
        tolerance_percent: 2.0,
        source: None,
        source_factor: 2.0,
        limit: LimitMode::Unknown,
        limit_factor: 1.5,
        feed_pins: 1,
        latches: false,
        sinks: true,
        more_members: false,
        probe: minutes(3.0),
    }
}

/// A wire of unknown length.
pub fn wire(id: impl Into<String>, from: Point, to: Point) -> Wire {
    Wire {
        id: id.into(),
        from,
        to,
        length: None,
        size: ConductorSize::SquareMillimetres(square_millimetres(WIRE_MM2)),
        colour: None,
        circuit_number: String::new(),
        bundle: String::new(),
    }
}

/// A connector with some pins, as reachable as an inline one.
pub fn connector(id: impl Into<String>, pins: u8) -> Connector {
    Connector {
        id: id.into(),
        name: String::new(),
        place: String::new(),
        pins: (0..pins).map(|_| pin()).collect(),
        access: minutes(INLINE_MINUTES),
        sealed: false,
    }
}

/// A sensor's plug with some pins.
pub fn plug(id: impl Into<String>, pins: u8) -> Connector {
    Connector {
        access: minutes(PLUG_MINUTES),
        ..connector(id, pins)
    }
}

/// A sound pin.
pub fn pin() -> Pin {
    Pin {
        contact: ohms(CONTACT_OHM),
    }
}

/// A splice.
pub fn splice(id: impl Into<String>) -> Splice {
    Splice {
        id: id.into(),
        place: String::new(),
        more_members: false,
    }
}

/// A ground point at a point of the circuit.
pub fn ground(id: impl Into<String>, at: Point) -> Ground {
    Ground {
        id: id.into(),
        at,
        strap: ohms(STRAP_OHM),
        place: String::new(),
    }
}

/// A fuse.
pub fn fuse(id: impl Into<String>) -> Fuse {
    Fuse {
        id: id.into(),
        rated: milliamperes(FUSE_MA),
        resistance: ohms(STRAP_OHM),
    }
}

/// An electronic sensor between two points.
pub fn sensor(id: impl Into<String>, feed: Point, ret: Point, nominal: Volts) -> Load {
    Load {
        id: id.into(),
        name: String::new(),
        feed,
        ret,
        model: electronic(SENSOR_MA, nominal),
        spread_percent: SPREAD_PERCENT,
        signal_fraction: None,
        blocks_ohmmeter: false,
    }
}

/// A constant draw above half of the nominal voltage.
pub fn electronic(draw_ma: f64, nominal: Volts) -> LoadModel {
    LoadModel::Electronic {
        draw: milliamperes(draw_ma),
        knee: knee(nominal),
    }
}

/// Volts above which an electronic sensor draws its constant current: half of nominal.
pub fn knee(nominal: Volts) -> Volts {
    volts(as_volts(nominal) / 2.0)
}

/// A rail of another origin.
pub fn rail(id: impl Into<String>, potential: Volts) -> Rail {
    Rail {
        id: id.into(),
        name: String::new(),
        potential,
        source: ohms(STRAP_OHM),
    }
}

impl Circuit {
    /// Nominal volts of the first supply; 5 V, the commonest reference, where none is drawn.
    pub fn nominal_or_5(&self) -> Volts {
        self.supplies
            .first()
            .map_or_else(|| volts(5.0), |supply| supply.nominal)
    }

    /// Amperes that all sensors take at so many volts when nothing is wrong; 0 where that is no number.
    ///
    /// ```
    /// use pinchpoint::{circuit::quick_feed, quantity::units::volts};
    /// assert!(quick_feed(volts(5.0), 12, true, true).sound_draw(volts(5.0)) > 0.03);
    /// ```
    pub fn sound_draw(&self, at: Volts) -> f64 {
        let of = |load: &Load| match load.model {
            LoadModel::Electronic { draw, .. } => as_amperes(draw),
            LoadModel::Resistive { resistance } => as_volts(at) / as_ohms(resistance),
        };
        let sum: f64 = self.loads.iter().map(of).sum();
        if sum.is_finite() { sum.max(0.0) } else { 0.0 }
    }

    /// A designation that no part has: the letters and one more than the highest number in use with them, so that
    /// a removed part's designation does not come back under the readings that were taken at it.
    ///
    /// ```
    /// use pinchpoint::circuit::{Circuit, stock};
    /// let mut circuit = Circuit::default();
    /// circuit.splices.push(stock::splice("SP7"));
    /// assert_eq!(circuit.fresh_id("SP"), "SP8");
    /// assert_eq!(circuit.fresh_id("S"), "S1");
    /// ```
    pub fn fresh_id(&self, letters: &str) -> String {
        let highest = self
            .ids()
            .filter_map(|id| id.strip_prefix(letters)?.parse::<u32>().ok())
            .filter(|number| *number < 1_000_000)
            .max()
            .unwrap_or(0);
        let taken: HashSet<&str> = self.ids().collect();
        let free = |id: &String| !taken.contains(id.as_str());
        // Beyond the bound above something may be taken; among one more than there are parts, one is free.
        (highest + 1..)
            .map(|number| format!("{letters}{number}"))
            .find(free)
            .unwrap_or_else(|| format!("{letters}1"))
    }
}
