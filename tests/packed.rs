//! A job as one file, and back: packed with its attachments, unpacked, imported. An own selection of a public format; the
//! places of its fields are those of APPNOTE.TXT (PKWARE, 6.3).

#[path = "support/full.rs"]
mod full;

use std::fs;

use full::full_job;
use pinchpoint::notebook::{
    Cause, Job, Shelf,
    archive::{archive, pack},
    attach::{attach, read_attachment},
    format_job,
    import::import,
    parse_job, read_job,
    unpack::unpack,
    write_job,
};

fn job(title: &str, vehicle: &str) -> Job {
    Job {
        title: title.to_owned(),
        vehicle: vehicle.to_owned(),
        ..full_job()
    }
}

#[test]
fn a_packed_job_comes_out_as_it_went_in_and_damage_is_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let job_file = folder.path().join("job.ron");
    let photo = folder.path().join("chafe.jpg");
    fs::write(&photo, "photo ".repeat(40)).expect("written");
    let mut job = job("CT-4471", "Corran Tender 2.2");
    job.record.attachments = vec![attach(&job_file, &photo, "chafed").expect("attached")];
    let packed = archive(&job, &job_file, "CT-4471").expect("packed").bytes;
    let whole = unpack("packed", &packed).expect("unpacked");
    assert_eq!((whole.job.clone(), whole.files.len()), (job.clone(), 1));
    assert_eq!(whole.files[0].1, fs::read(&photo).expect("there"));
    for end in 0..packed.len() {
        assert!(
            unpack("packed", &packed[..end]).is_err(),
            "cut off at {end}"
        );
    }
    let mut same = 0;
    for byte in 0..packed.len() {
        let bit = byte % 8;
        let mut damaged = packed.clone();
        damaged[byte] ^= 1 << bit;
        // Never something else in silence: an error, or the job; a photo that is not as it was is named.
        if let Ok(unpacked) = unpack("packed", &damaged) {
            assert_eq!(unpacked.job, job, "byte {byte}");
            match unpacked.files.first() {
                Some((_, bytes)) => assert_eq!(*bytes, whole.files[0].1, "byte {byte}"),
                None => assert_eq!(unpacked.missing, ["chafe.jpg"], "byte {byte}"),
            }
            same += 1;
        }
    }
    assert!(same < packed.len(), "damage is never told");
}

#[test]
fn archives_of_other_programs_are_read_as_far_as_they_hold_one_job() {
    let folder = tempfile::tempdir().expect("a folder");
    let text = format_job("a.ron", &job("zipped elsewhere", "Corran Tender 2.2")).expect("text");
    let deflated = miniz_oxide::deflate::compress_to_vec(text.as_bytes(), 6);
    for (names, ok) in [
        (&["a.ron"][..], true),
        (&["../../a.ron"], false),
        (&["C:\\jobs\\a.ron"], false),
        (&["a.ron", "b.ron"], false),
        (&["a.txt"], false),
        (&[], false),
    ] {
        let bytes = zipped(names, &deflated, text.as_bytes());
        let source = folder.path().join("elsewhere.zip");
        fs::write(&source, bytes).expect("written");
        let notebook = tempfile::tempdir().expect("a folder");
        let imported = import(notebook.path(), &source);
        assert_eq!(imported.is_ok(), ok, "{names:?}: {imported:?}");
        if let Ok(imported) = imported {
            assert_eq!(imported.path, notebook.path().join("a.ron"));
            assert_eq!(
                read_job(&imported.path).expect("there").job.title,
                "zipped elsewhere"
            );
        }
        // Nothing is written anywhere else.
        let there = fs::read_dir(notebook.path()).expect("a folder").count();
        assert_eq!(there, usize::from(ok), "{names:?}");
    }
}

#[test]
fn a_small_archive_that_swells_is_refused() {
    let folder = tempfile::tempdir().expect("a folder");
    let zeros = vec![0; 64 << 20];
    let deflated = miniz_oxide::deflate::compress_to_vec(&zeros, 9);
    assert!(deflated.len() < 100_000, "it is small on disk");
    // It says how large it is, or lies about it.
    for claimed in [&zeros[..], b"(format:"] {
        let source = folder.path().join("swells.zip");
        fs::write(&source, zipped(&["a.ron"], &deflated, claimed)).expect("written");
        let notebook = tempfile::tempdir().expect("a folder");
        assert!(import(notebook.path(), &source).is_err());
        assert_eq!(fs::read_dir(notebook.path()).expect("a folder").count(), 0);
    }
}

/// An archive with the same deflated file under several names, by APPNOTE.TXT 4.3.7, 4.3.12 and 4.3.16.
fn zipped(names: &[&str], deflated: &[u8], text: &[u8]) -> Vec<u8> {
    let (mut bytes, mut directory) = (Vec::new(), Vec::new());
    for name in names {
        let at = bytes.len() as u32;
        let mut shared = Vec::new();
        for number in [20u16, 0, 8, 0, 33] {
            shared.extend(number.to_le_bytes());
        }
        shared.extend(crc32fast::hash(text).to_le_bytes());
        shared.extend((deflated.len() as u32).to_le_bytes());
        shared.extend((text.len() as u32).to_le_bytes());
        shared.extend((name.len() as u16).to_le_bytes());
        shared.extend([0, 0]);
        bytes.extend(b"PK\x03\x04");
        bytes.extend(&shared);
        bytes.extend(name.as_bytes());
        bytes.extend(deflated);
        directory.extend(b"PK\x01\x02\x14\0");
        directory.extend(&shared);
        directory.extend([0; 10]);
        directory.extend(at.to_le_bytes());
        directory.extend(name.as_bytes());
    }
    let (at, size) = (bytes.len() as u32, directory.len() as u32);
    bytes.extend(directory);
    bytes.extend(b"PK\x05\x06\0\0\0\0");
    for _ in 0..2 {
        bytes.extend((names.len() as u16).to_le_bytes());
    }
    bytes.extend(size.to_le_bytes());
    bytes.extend(at.to_le_bytes());
    bytes.extend([0, 0]);
    bytes
}

#[test]
fn a_job_is_imported_under_a_free_name_with_its_photos() {
    let elsewhere = tempfile::tempdir().expect("a folder");
    let source = elsewhere.path().join("con.ron");
    let photo = elsewhere.path().join("chafe.jpg");
    fs::write(&photo, "photo").expect("written");
    let mut job = job("from elsewhere", "Corran Tender 2.2");
    let kept = attach(&source, &photo, "").expect("attached");
    job.record.attachments.push(kept.clone());
    write_job(&source, &job).expect("saved");
    let notebook = tempfile::tempdir().expect("a folder");
    for name in ["jobcon.ron", "jobcon-2.ron"] {
        let imported = import(notebook.path(), &source).expect("imported");
        assert_eq!(imported.path, notebook.path().join(name));
        assert_eq!(read_job(&imported.path).expect("reads").job, job);
        assert_eq!(
            read_attachment(&imported.path, &kept).expect("there"),
            b"photo"
        );
        assert_eq!(
            imported.missing.len(),
            1,
            "the fixture's own attachment has no file"
        );
    }
    let nothing = elsewhere.path().join("nothing.ron");
    fs::write(&nothing, "(format: \"pinchpoint\", vers").expect("written");
    assert!(import(notebook.path(), &nothing).is_err());
    assert!(import(notebook.path(), elsewhere.path()).is_err());
    assert_eq!(Shelf::open(notebook.path()).expect("read").cards.len(), 2);
}

/// Little-endian numbers by the places that APPNOTE.TXT 4.3 gives them.
fn number(bytes: &[u8], at: usize, size: usize) -> usize {
    bytes[at..at + size]
        .iter()
        .rev()
        .fold(0, |sum, &byte| sum << 8 | usize::from(byte))
}

#[test]
fn a_job_is_packed_with_its_attachments() {
    let folder = tempfile::tempdir().expect("a folder");
    let job_file = folder.path().join("job.ron");
    let photo = folder.path().join("chafe.jpg");
    fs::write(&photo, b"photo").expect("written");
    let mut job = full_job();
    job.record
        .attachments
        .push(attach(&job_file, &photo, "").expect("attached"));
    let packed = archive(&job, &job_file, "../CT-4471.ron").expect("packed");
    assert_eq!(
        packed.missing.len(),
        1,
        "the fixture's own attachment has no file"
    );
    assert_eq!(
        archive(&job, &job_file, "../CT-4471.ron").expect("packed"),
        packed
    );
    let bytes = packed.bytes;
    let end = bytes.len() - 22;
    assert_eq!(&bytes[end..end + 4], b"PK\x05\x06");
    assert_eq!(number(&bytes, end + 10, 2), 2);
    let mut at = number(&bytes, end + 16, 4);
    assert_eq!(at + number(&bytes, end + 12, 4), end);
    let mut files = Vec::new();
    for _ in 0..2 {
        assert_eq!(&bytes[at..at + 4], b"PK\x01\x02");
        let (sum, size) = (number(&bytes, at + 16, 4), number(&bytes, at + 24, 4));
        let length = number(&bytes, at + 28, 2);
        let local = number(&bytes, at + 42, 4);
        let name = &bytes[at + 46..at + 46 + length];
        assert_eq!(&bytes[local..local + 4], b"PK\x03\x04");
        assert_eq!(&bytes[local + 30..local + 30 + length], name);
        let content = &bytes[local + 30 + length..local + 30 + length + size];
        assert_eq!(crc32fast::hash(content) as usize, sum);
        files.push((String::from_utf8_lossy(name).into_owned(), content.to_vec()));
        at += 46 + length;
    }
    assert_eq!(files[0].0, "CT-4471.ron");
    assert_eq!(parse_job("packed", &files[0].1).expect("reads").job, job);
    assert!(files[1].0.starts_with("attachments/") && files[1].1 == b"photo");
    assert!(read_job(&job_file).is_err(), "packing writes no job file");
}

#[test]
fn a_job_is_never_packed_over_itself_or_over_anything_but_an_earlier_archive() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("job.ron");
    write_job(&file, &job("one", "Corran Tender 2.2")).expect("saved");
    let other = folder.path().join("estimate.zip");
    fs::write(&other, "no archive").expect("written");
    for to in [&file, &other] {
        let before = fs::read(to).expect("read");
        let error = pack(&file, to).expect_err("something is lost");
        assert_eq!(error.cause, Cause::Refused, "{error}");
        assert_eq!(fs::read(to).expect("read"), before);
    }
    let archive = folder.path().join("job.zip");
    pack(&file, &archive).expect("packed");
    pack(&file, &archive).expect("packed again");
}
