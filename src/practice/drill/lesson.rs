//! The lessons, in plain words, and a worked example for each. The numbers are held to by `tests/practice/lessons.rs`.

use super::Drill;

/// What there is to know.
pub fn lesson(drill: Drill) -> &'static str {
    match drill {
        Drill::SplitHalf => {
            "Mark the last place that reads right and the first that reads wrong: those are the brackets, and the fault is \
             between them. Read in the middle, not at the next plug: whatever it shows, half of what was left is \
             gone. Right there: the first bracket moves to it. Wrong there: the last one does. Stop when nothing \
             lies between the brackets but one stretch of wire."
        }
        Drill::UnequalOdds => {
            "Half of the wire is not half of the odds. A loom that was hit, opened or wet is likelier than one that \
             nobody touched, and a long branch likelier than a short one. Choose the test that parts the odds in \
             half, even where it leaves most of the wire on one side."
        }
        Drill::AccessMinutes => {
            "A test costs what it takes to get there. Weigh what it tells against its minutes: a quick plug that \
             tells a little less comes before a slow one that tells a little more. Take everything that is quick to \
             reach first, as long as it tells something, and leave the slow plugs for when they decide."
        }
        Drill::MillivoltTrail => {
            "Where a short draws current, every metre of wire up to it drops a few millivolts; beyond it nothing flows \
             and nothing drops. Read along the feed on one range of the meter: the fall ends where the current leaves. \
             Between two places the drop also tells the current, and from that how far the fault is."
        }
        Drill::LimitedSupply => {
            "Many references hold their current at a limit, and some let it fall as the output falls. Then the volts \
             at the pin tell about the ohms of the short and not about the wire, and every sensor that is unplugged \
             lifts the feed a little, whether it is sound or not. A small rise is no find. What counts is the plug that \
             brings the feed back to what it should be."
        }
        Drill::TwoFaults => {
            "When unplugging something helps, but not enough, do not plug it in again as if it were sound: leave it off, \
             and go on. Find one fault as if it were the only one, repair it, keep every reading, and see what is left. \
             Hand nothing over before the feed reads right with everything plugged."
        }
        Drill::GhostVoltage => {
            "A meter draws next to nothing, so a last strand or a corroded pin passes it all the volts there are. The \
             volts go when something draws. Read with the sensors plugged in, or clip a resistor of a few milliamperes \
             on; never a lamp, and never battery voltage, on a reference. The drop then stands across the bad joint."
        }
        Drill::WrongReading => {
            "One reading in thirty or so is wrong: millivolts taken for volts, a probe that did not touch, a plug that \
             was on when it was noted as off. A reading that fits nothing else is taken again before anything is built \
             on it. Downstream can never read above upstream on a feed without another source: one of the two is wrong."
        }
    }
}

/// A case with numbers.
pub fn example(drill: Drill) -> &'static str {
    match drill {
        Drill::SplitHalf => {
            "Nine points A to I, right at A, wrong at I. Read E first. Right: read G next. Eight stretches are left at the \
             start, four after one test, two after two, one after three: always 3 tests. Plug after plug from one end \
             takes 4.4 on average and 7 at worst."
        }
        Drill::UnequalOdds => {
            "Five stretches in a row, the first as likely as two thirds of all: odds 8, 1, 1, 1, 1. Halving the count \
             first leaves the likely one in a crowd; asking “is it the first?” first needs 1.67 tests on average. With \
             equal odds the best there is takes 2.4."
        }
        Drill::AccessMinutes => {
            "Two plugs would each tell 1 bit. One takes 4 minutes, the other 25. The quick one gives 0.25 bits a minute, the \
             slow one 0.04. Even if the quick one told only half a bit, it would come first at 0.125."
        }
        Drill::MillivoltTrail => {
            "Wire of 0.35 mm² has 49 mΩ a metre. At 100 mA that is 4.9 mV a metre, about 10 mV for every 2 m. The trail \
             reads 214 mV, 204 mV, 199 mV, 199 mV: the current leaves at or just past the third place."
        }
        Drill::LimitedSupply => {
            "Limit 100 mA, short of 20 Ω, four sensors of 8 mA: the short gets 68 mA, the feed reads 1.36 V. Unplug a sound \
             sensor: 76 mA, 1.52 V, a rise of 0.16 V that means nothing. All four off: 2.00 V, the short is still there."
        }
        Drill::TwoFaults => {
            "Limit 100 mA, shorts of 10 Ω and 30 Ω: 0.75 V. The first one off: 3.00 V. Only the second one off: 1.00 V. Both \
             off: 5.00 V. Whoever plugs the first in again at 3.00 V has lost the way."
        }
        Drill::GhostVoltage => {
            "A last strand of 10 kΩ: the meter of 10 MΩ reads 4.995 V behind it, good as new. Clip on 1 kΩ and 0.45 V is left. \
             A pin of 60 Ω: 4.40 V behind it at 10 mA, 3.56 V at 24 mA, 5.00 V with the sensor off."
        }
        Drill::WrongReading => {
            "The module's pin reads 0.66 V, the plug behind it 641 V, the next one 0.63 V. Nothing on the vehicle has 641 V: \
             it was 641 mV, and then the three make a trail."
        }
    }
}
