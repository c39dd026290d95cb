//! Scores that are broken, or made to bring readers down.

use exchange::{ExchangeError, midi_chart, musicxml, read_midi, write_part};
use miniz_oxide::deflate::compress_to_vec;
use practice::Hands;
use proptest::prelude::*;
use std::io::Write;
use voicing::Part;

fn part() -> Part {
    let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72,
      "sections": [ { "name": "Intro", "bars": ["3/4: 1.. 5(7). | 6 ~ | N | 4"], "passes": 2 } ] }"#;
    let song = song::read(text).sound().unwrap().play();
    voicing::plan(&song, song.key, &voicing::Settings::default()).unwrap()
}

/// An archive with these files.
fn archive(files: &[(String, Vec<u8>)]) -> Vec<u8> {
    let mut out = Vec::new();
    let mut archive = rawzip::ZipArchiveWriter::new(&mut out);
    for (name, bytes) in files {
        let (mut entry, config) = archive
            .new_file(name.as_str())
            .compression_method(rawzip::CompressionMethod::DEFLATE)
            .start()
            .unwrap();
        let mut writer = config.wrap(Vec::new());
        writer.write_all(bytes).unwrap();
        let (plain, descriptor) = writer.finish().unwrap();
        entry.write_all(&compress_to_vec(&plain, 1)).unwrap();
        entry.finish(descriptor).unwrap();
    }
    archive.finish().unwrap();
    out
}

fn contents(path: &str) -> (String, Vec<u8>) {
    let text = format!("<container><rootfiles><rootfile full-path='{path}'/></rootfiles></container>");
    ("META-INF/container.xml".to_owned(), text.into_bytes())
}

fn refused(bytes: &[u8]) -> String {
    musicxml::read(bytes, "").unwrap_err().to_string()
}

#[test]
fn entities_depth_and_bombs_are_refused() {
    let entity = "<!DOCTYPE score-partwise [<!ENTITY a \"aaaa\"><!ENTITY b \"&a;&a;\">]><score-partwise/>";
    assert!(refused(entity.as_bytes()).contains("entities"));
    assert!(refused(b"<score-partwise>&b;</score-partwise>").contains("not defined"));
    let deep = "<score-partwise>".repeat(100_000);
    assert!(refused(deep.as_bytes()).contains("too deep"));
    let wide = format!("<score-partwise>{}</score-partwise>", "<a/>".repeat(300_000));
    assert!(refused(wide.as_bytes()).contains("too many elements"));
    let bomb = archive(&[contents("a.xml"), ("a.xml".to_owned(), vec![b' '; 80 << 20])]);
    assert!(bomb.len() < 1 << 20, "{} bytes unpack to 80 MB", bomb.len());
    assert!(refused(&bomb).contains("unpacks to more"));
    let mut many: Vec<(String, Vec<u8>)> = (0..2000).map(|n| (format!("{n}"), Vec::new())).collect();
    many.push(contents("a.xml"));
    assert!(refused(&archive(&many)).contains("too many files"));
}

#[test]
fn what_is_broken_is_told_in_a_players_words() {
    assert!(refused(b"").contains("nothing in it"));
    assert!(refused(b"<score-partwise><part>").contains("before <part> is closed"));
    assert!(refused(b"<html></html>").contains("no MusicXML score"));
    assert!(refused(b"<score-partwise></score-partwise>").contains("no chord symbol"));
    assert!(refused(&archive(&[contents("a.xml")])).contains("“a.xml” is not in it"));
    assert!(refused(&archive(&[])).contains("META-INF/container.xml"));
    let broken =
        ("META-INF/container.xml".to_owned(), b"<container><rootfile full-path='L'Orient.xml'/>".to_vec());
    assert!(refused(&archive(&[broken])).contains("table of contents"));
    assert!(matches!(musicxml::read(b"PK\x03\x04nothing", ""), Err(ExchangeError::NotCompressed(_))));
}

/// Numbers that no score has, in a score that holds together otherwise.
#[test]
fn huge_numbers_are_bounded() {
    for number in ["999999999999999999999", "-999999999", "1e400", "4294967296", "0", "nan"] {
        let score = format!(
            "<score-partwise><part id='P'><measure><attributes><divisions>{number}</divisions>\
             <key><fifths>{number}</fifths></key><time><beats>{number}</beats><beat-type>{number}</beat-type></time>\
             </attributes><sound tempo='{number}'/><harmony><root><root-step>C</root-step><root-alter>{number}</root-alter>\
             </root><kind>major</kind><offset>{number}</offset></harmony><harmony><root><root-step>G</root-step></root>\
             <kind>major</kind></harmony><note><duration>{number}</duration></note><backup><duration>{number}</duration>\
             </backup><barline><repeat direction='backward' times='{number}'/></barline></measure></part></score-partwise>"
        );
        let imported = musicxml::read(score.as_bytes(), "").unwrap();
        assert!(imported.figures.bars_played <= 99, "{number}");
    }
}

fn mutated(file: &[u8], changes: &[(prop::sample::Index, u8)]) -> Vec<u8> {
    let mut bytes = file.to_vec();
    changes.iter().for_each(|(at, byte)| *at.get_mut(&mut bytes) = *byte);
    bytes
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    /// Whatever is read is a song without mistakes.
    #[test]
    fn no_change_of_bytes_brings_the_readers_down(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12),
        cut in any::<prop::sample::Index>(),
    ) {
        let part = part();
        for file in [musicxml::write(&part), musicxml::write_compressed(&part)] {
            let bytes = mutated(&file, &changes);
            for bytes in [&bytes[..], &bytes[..cut.index(bytes.len())]] {
                if let Ok(imported) = musicxml::read(bytes, "") {
                    prop_assert!(song::read(&imported.song.to_text()).sound().is_ok());
                }
            }
        }
        let bytes = mutated(&write_part(&part, Hands::Both, true), &changes);
        if let Ok(file) = read_midi(&bytes)
            && let Some(Ok(imported)) = midi_chart(&file, "")
        {
            prop_assert!(song::read(&imported.song.to_text()).sound().is_ok());
        }
    }
}
