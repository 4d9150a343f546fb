//! The day of today where this computer stands, to be proposed where a day is asked for.

use std::{
    fs::File,
    io::Read,
    sync::OnceLock,
    time::{SystemTime, UNIX_EPOCH},
};

use super::practice::day;

/// Where the system keeps its time zone.
const ZONE: &str = "/etc/localtime";
/// Most that is read of a time zone's file, in bytes.
const MOST: u64 = 1 << 20;
/// Length of a header.
const HEAD: usize = 44;

/// Moments in seconds since 1970 from which on a number of seconds lies between the clock here and UTC.
type Shifts = Vec<(i64, i64)>;

/// Today, e.g. `2031-04-02`, by the time zone that the system names in a file; by UTC where there is no such file. The variable
/// `TZ` is not looked at.
pub fn today() -> String {
    static HERE: OnceLock<Shifts> = OnceLock::new();
    let here = HERE.get_or_init(|| {
        let mut file = Vec::new();
        let read = File::open(ZONE).and_then(|zone| zone.take(MOST).read_to_end(&mut file));
        read.ok().and_then(|_| shifts(&file)).unwrap_or_default()
    });
    let now = SystemTime::now().duration_since(UNIX_EPOCH);
    local_day(now.map_or(0, |since| since.as_secs()), here)
}

fn local_day(seconds: u64, here: &Shifts) -> String {
    let moment = i64::try_from(seconds).unwrap_or(i64::MAX);
    let last = here.iter().take_while(|(from, _)| *from <= moment).last();
    let shift = last.map_or(0, |(_, shift)| *shift);
    day(seconds.saturating_add_signed(shift))
}

/// The shifts that a time zone file lists; nothing where it is none. Rules for the years after its list are left alone: a
/// day is then wrong for the hour of summer time before midnight.
///
/// Source: TZif of RFC 8536 (from memory), second block, with times of 64 bits.
fn shifts(file: &[u8]) -> Option<Shifts> {
    let first = counts(file)?;
    let [utc, standard, leaps, times, kinds, letters] = first;
    let skipped = HEAD + times * 5 + kinds * 6 + letters + leaps * 8 + standard + utc;
    let file = file.get(skipped..)?;
    let [_, _, _, times, kinds, _] = counts(file)?;
    let body = file.get(HEAD..)?;
    let (moments, body) = body.split_at_checked(times * 8)?;
    let (which, body) = body.split_at_checked(times)?;
    let kinds = body.get(..kinds * 6)?;
    let shift = |kind: usize| {
        let bytes = kinds.get(kind * 6..kind * 6 + 4)?;
        Some(i64::from(i32::from_be_bytes(bytes.try_into().ok()?)))
    };
    // A zone that never changed its clock lists no moment at all.
    let mut all = vec![(i64::MIN, shift(0)?)];
    for (moment, kind) in moments.chunks_exact(8).zip(which) {
        let moment = i64::from_be_bytes(moment.try_into().ok()?);
        all.push((moment, shift(usize::from(*kind))?));
    }
    Some(all)
}

/// How many there are of each thing in a block.
fn counts(block: &[u8]) -> Option<[usize; 6]> {
    if !block.starts_with(b"TZif") {
        return None;
    }
    let mut counts = [0; 6];
    for (count, bytes) in counts.iter_mut().zip(block.get(20..HEAD)?.chunks_exact(4)) {
        *count = u32::from_be_bytes(bytes.try_into().ok()?) as usize;
    }
    Some(counts)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A zone that went from eight hours behind UTC to seven at a moment.
    fn zone(moment: i64) -> Vec<u8> {
        let head = |counts: [u32; 6]| {
            let mut head = b"TZif2".to_vec();
            head.resize(20, 0);
            head.extend(counts.iter().flat_map(|count| count.to_be_bytes()));
            head
        };
        let mut file = head([0, 0, 0, 0, 1, 4]);
        file.extend([0, 0, 0, 0, 0, 0]);
        file.extend(b"UTC\0");
        file.extend(head([0, 0, 0, 1, 2, 8]));
        file.extend(moment.to_be_bytes());
        file.push(1);
        for hours in [-8_i32, -7] {
            file.extend((hours * 3600).to_be_bytes());
            file.extend([0, 0]);
        }
        file.extend(b"PST\0PDT\0");
        file
    }

    #[test]
    fn the_day_is_the_one_of_the_wall_clock() {
        // 2000-02-29 00:00 UTC, see `day`.
        let leap = 951_782_400_u64;
        let here = shifts(&zone(i64::try_from(leap).unwrap() + 7 * 3600)).unwrap();
        assert_eq!(local_day(leap, &here), "2000-02-28");
        assert_eq!(local_day(leap + 7 * 3600 - 1, &here), "2000-02-28");
        assert_eq!(local_day(leap + 7 * 3600, &here), "2000-02-29");
        assert_eq!(local_day(leap, &Shifts::new()), "2000-02-29", "by UTC");
    }

    #[test]
    fn a_file_that_is_no_time_zone_is_passed_over() {
        let whole = zone(0);
        for cut in 0..whole.len() - 8 {
            let file = &whole[..cut];
            assert!(shifts(file).is_none(), "{cut}");
        }
        let mut many = whole.clone();
        many[20..44].fill(0xFF);
        assert!(shifts(&many).is_none());
        assert!(shifts(b"no zone").is_none());
    }
}
