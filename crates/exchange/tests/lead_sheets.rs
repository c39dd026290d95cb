//! Facts of lead sheets: what MusicXML 4.0 (W3C Music Notation Community Group) lets a page say, and what becomes of it.

use exchange::{Imported, musicxml};
use proptest::prelude::*;

/// A score of one part with these measures.
fn score(measures: &str) -> String {
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?><!DOCTYPE score-partwise PUBLIC \
         \"-//Recordare//DTD MusicXML 4.0 Partwise//EN\" \"http://www.musicxml.org/dtds/partwise.dtd\"><score-partwise>\
         <part-list><score-part id='P'><part-name/></score-part></part-list><part id='P'>{measures}</part></score-partwise>"
    )
}

fn read(measures: &str) -> Imported {
    musicxml::read(score(measures).as_bytes(), "Lamp").unwrap()
}

/// A measure of four quarters with these things before its note.
fn bar(inside: &str) -> String {
    format!("<measure>{inside}<note><rest/><duration>4</duration></note></measure>")
}

fn first(inside: &str) -> String {
    bar(&format!(
        "<attributes><divisions>1</divisions><key><fifths>0</fifths><mode>major</mode></key>\
      <time><beats>4</beats><beat-type>4</beat-type></time></attributes>{inside}"
    ))
}

fn chord(root: &str) -> String {
    format!("<harmony><root><root-step>{root}</root-step></root><kind>major</kind></harmony>")
}

fn kind(kind: &str) -> String {
    format!("<harmony><root><root-step>C</root-step></root><kind>{kind}</kind></harmony>")
}

/// All bars as they are written, sections behind one another.
fn rows(imported: &Imported) -> String {
    let bars = imported.song.sections.iter().flat_map(|section| section.bars.iter().flatten());
    bars.cloned().collect::<Vec<_>>().join(" | ")
}

/// As they are played.
fn played(imported: &Imported) -> String {
    let song = song::read(&imported.song.to_text()).sound().unwrap().play();
    song.bars.iter().map(|bar| bar.text.clone()).collect::<Vec<_>>().join(" | ")
}

fn notes(imported: &Imported) -> Vec<String> {
    let exceptions = imported.song.sections.iter().flat_map(|section| section.except.iter().flatten());
    exceptions.filter_map(|exception| exception.note.clone()).collect()
}

// MusicXML 4.0, "kind-value": all of them. What number charts cannot say is told and counted, and "none" is no chord.
#[test]
fn every_kind_comes_over_or_is_told() {
    for (name, written, whole) in [
        ("major", "1", true),
        ("minor", "1m", true),
        ("augmented", "1aug", true),
        ("diminished", "1dim", true),
        ("dominant", "1(7)", true),
        ("major-seventh", "1(maj7)", true),
        ("minor-seventh", "1m(7)", true),
        ("diminished-seventh", "1(dim7)", true),
        ("augmented-seventh", "1aug(7)", true),
        ("half-diminished", "1dim(7)", true),
        ("major-minor", "1m(maj7)", true),
        ("major-sixth", "1(6)", true),
        ("minor-sixth", "1m(6)", true),
        ("dominant-ninth", "1(9)", true),
        ("major-ninth", "1(maj9)", true),
        ("minor-ninth", "1m(9)", true),
        ("dominant-11th", "1(11)", true),
        ("major-11th", "1(maj9)", false),
        ("minor-11th", "1m(11)", true),
        ("dominant-13th", "1(13)", true),
        ("major-13th", "1(maj9)", false),
        ("minor-13th", "1m(13)", true),
        ("suspended-second", "1sus2", true),
        ("suspended-fourth", "1sus4", true),
        ("Neapolitan", "1", false),
        ("Italian", "1(7)", false),
        ("French", "1(7)", false),
        ("German", "1(7)", false),
        ("pedal", "1no3", false),
        ("power", "1no3", true),
        ("Tristan", "1dim(7)", false),
        ("other", "1", false),
        ("none", "N", true),
        ("something new", "1", false),
    ] {
        let imported = read(&(first(&chord("G")) + &bar(&kind(name))));
        assert_eq!(rows(&imported), format!("5 | {written}"), "{name}");
        assert_eq!(imported.figures.simplified, usize::from(!whole), "{name}: {:?}", imported.told);
        assert_eq!(notes(&imported).len(), usize::from(!whole), "{name}: {:?}", notes(&imported));
    }
}

#[test]
fn what_the_page_shows_beyond_its_kind_is_told() {
    let shown = |text: &str, kind: &str| {
        let harmony = format!(
            "<harmony><root><root-step>G</root-step></root><kind text=\"{text}\">{kind}</kind></harmony>"
        );
        read(&first(&harmony))
    };
    assert!(notes(&shown("7(#11)", "dominant"))[0].contains("the page shows “G7(#11)”"));
    for (text, kind) in
        [("7", "dominant"), ("mi7", "minor-seventh"), ("+", "augmented"), ("o7", "diminished-seventh")]
    {
        assert_eq!(shown(text, kind).figures.simplified, 0, "{text}");
    }
    let under_no_chord = "<harmony><root><root-step>C</root-step></root><kind text='N.C.'>none</kind>\
      <bass><bass-step>E</bass-step></bass></harmony>";
    let imported = read(&(first(&chord("G")) + &bar(under_no_chord)));
    assert_eq!(rows(&imported), "5 | N");
    assert!(notes(&imported)[0].contains("bass note E"), "{:?}", notes(&imported));
}

/// Two chords over one note are chords one after the other, whose places the page does not tell.
#[test]
fn chords_at_one_place_share_the_time_and_are_named_and_counted() {
    let imported = read(&first(&(chord("F") + &chord("G"))));
    assert_eq!(rows(&imported), "4 5");
    assert_eq!((imported.figures.chords, imported.figures.moved), (2, 1));
    assert!(notes(&imported)[0].contains("F and G stand at one place"), "{:?}", notes(&imported));
    // Three of which the last is the first again are three.
    assert_eq!(rows(&read(&first(&(chord("F") + &chord("G") + &chord("F"))))), "4.. 5. 4.");
    // The same over both staves, and by letter and by number, is one chord.
    let imported = read(&first(&(chord("F") + &chord("F"))));
    assert_eq!((rows(&imported).as_str(), imported.figures.chords, imported.figures.moved), ("4", 1, 0));
    let other = chord("G").replace("<harmony>", "<harmony type='alternate'>");
    let imported = read(&first(&(chord("F") + &other)));
    assert_eq!((rows(&imported).as_str(), imported.figures.noted), ("4", 1));
    assert_eq!(notes(&imported), ["or G"]);
}

#[test]
fn chords_find_their_beat_however_they_are_placed() {
    let offset = |root: &str, offset: &str| {
        chord(root).replace("</harmony>", &format!("<offset>{offset}</offset></harmony>"))
    };
    let note = |quarters: u8| format!("<note><rest/><duration>{quarters}</duration></note>");
    let in_bar = |inside: String| format!("<measure>{inside}</measure>");
    for (inside, written, moved) in [
        // After a backup, and between the notes of a second voice.
        (
            chord("C") + &note(4) + "<backup><duration>2</duration></backup>" + &chord("G") + &note(2),
            "1 5",
            0,
        ),
        (
            chord("C")
                + &note(4)
                + "<backup><duration>4</duration></backup><forward><duration>3</duration></forward>"
                + &chord("G"),
            "1... 5.",
            0,
        ),
        (chord("C") + &offset("G", "3") + &note(4), "1... 5.", 0),
        (chord("C") + &note(3) + &offset("G", "-1") + &note(1), "1 5", 0),
        // Grace notes take no time.
        (
            "<note><grace/><rest/></note>".to_owned() + &chord("C") + &note(2) + &chord("G") + &note(2),
            "1 5",
            0,
        ),
        // The divisions change in the middle.
        (
            chord("C")
                + &note(2)
                + "<attributes><divisions>2</divisions></attributes>"
                + &note(2)
                + &chord("G")
                + &note(2)
                + "<attributes><divisions>1</divisions></attributes>",
            "1... 5.",
            0,
        ),
        // Behind the bar.
        (chord("C") + &note(4) + &chord("G"), "1... 5.", 1),
        // Between the beats: durations are decimals.
        (chord("C") + &offset("G", "1.5") + &note(4), "8/8: 1... 5.....", 0),
        (chord("C") + &offset("G", "0.75") + &note(4), "16/16: 1... 5.............", 0),
    ] {
        let imported = read(&(first("") + &in_bar(inside.clone())));
        assert_eq!(rows(&imported), format!("N | {written}"), "{inside}");
        assert_eq!(imported.figures.moved, moved, "{inside}");
    }
}

#[test]
fn pickups_and_bars_cut_short_have_the_length_of_their_notes() {
    let pickup = "<measure number='X1' implicit='yes'><attributes><divisions>1</divisions><key><fifths>-7</fifths></key>\
      <time><beats>3</beats><beat-type>4</beat-type></time></attributes><note><pitch><step>C</step><octave>4</octave></pitch>\
      <duration>1</duration></note></measure>";
    let three = format!(
        "<measure number='1'>{}<note><rest measure='yes'/><duration>4</duration></note></measure>",
        chord("C")
    );
    let last = "<measure number='1b'><note><rest/><duration>2</duration></note></measure>";
    let imported = read(&(pickup.to_owned() + &three + last));
    // C major in C flat major is the raised tonic; a whole rest fills its bar, whatever it says.
    assert_eq!((imported.song.key.as_str(), imported.song.meter.as_deref()), ("Cb major", Some("3/4")));
    assert_eq!(rows(&imported), "1/4: N | #1M | 2/4: ~");
}

#[test]
fn keys_and_meters_that_change_within_a_bar_hold_from_the_next() {
    let change = "<attributes><key><fifths>2</fifths><mode>major</mode></key><time><beats>3</beats><beat-type>4</beat-type></time></attributes>";
    let note = "<note><rest/><duration>2</duration></note>";
    let within = format!("<measure>{}{note}{change}{note}</measure>", chord("D"));
    let three = format!("<measure>{}<note><rest/><duration>3</duration></note></measure>", chord("D"));
    let imported = read(&(first("") + &within + &three));
    assert_eq!(rows(&imported), "N | 2M | 1");
    assert_eq!(imported.song.sections[1].key.as_deref(), Some("D major"));
    assert_eq!(imported.song.sections[1].meter.as_deref(), Some("3/4"));
    assert_eq!(notes(&imported).len(), 1, "{:?}", notes(&imported));
    // Behind the last note it is the next bar's, and needs no word.
    let behind = format!("<measure>{}{note}{note}{change}</measure>", chord("D"));
    let imported = read(&(first("") + &behind + &three));
    assert_eq!((rows(&imported).as_str(), notes(&imported).len()), ("N | 2M | 1", 0));
}

#[test]
fn signatures_modes_and_meters_that_are_put_together() {
    let opening = |key: &str, time: &str| {
        read(&format!(
            "<measure><attributes><divisions>2</divisions><key>{key}</key><time>{time}</time></attributes>{}\
             <note><rest/><duration>10</duration></note></measure>",
            chord("D")
        ))
    };
    let minor = opening("<fifths>7</fifths><mode>minor</mode>", "<beats>3+2</beats><beat-type>4</beat-type>");
    assert_eq!((minor.song.key.as_str(), minor.song.meter.as_deref()), ("A# minor", Some("5/4")));
    let dorian = opening(
        "<fifths>0</fifths><mode>dorian</mode>",
        "<beats>3</beats><beat-type>4</beat-type><beats>4</beats><beat-type>8</beat-type>",
    );
    assert_eq!((dorian.song.key.as_str(), dorian.song.meter.as_deref()), ("A minor", Some("10/8")));
    assert!(dorian.told.iter().any(|told| told.contains("dorian")), "{:?}", dorian.told);
    let nameless = read(&format!(
        "<measure><note><rest/><duration>3</duration></note></measure><measure>{}\
      <note><rest/><duration>3</duration></note></measure>",
        chord("D")
    ));
    assert_eq!(nameless.song.meter.as_deref(), Some("3/4"));
    assert!(nameless.told.iter().any(|told| told.contains("no meter is named")), "{:?}", nameless.told);
}

/// Repeats as bars of one chord each: the order is that of the roots.
fn form(bars: &[(&str, &str)]) -> Imported {
    let bar = |(at, (root, signs)): (usize, &(&str, &str))| {
        let (before, behind) = signs.split_once('~').unwrap_or((signs, ""));
        let attributes = if at == 0 {
            "<attributes><divisions>1</divisions><key><fifths>0</fifths></key></attributes>"
        } else {
            ""
        };
        format!(
            "<measure>{attributes}{before}{}<note><rest/><duration>4</duration></note>{behind}</measure>",
            chord(root)
        )
    };
    read(&bars.iter().enumerate().map(bar).collect::<String>())
}

const FORWARD: &str = "<barline location='left'><repeat direction='forward'/></barline>";
const BACK: &str = "~<barline location='right'><repeat direction='backward'/></barline>";

fn words(text: &str) -> String {
    format!("<direction><direction-type><words>{text}</words></direction-type></direction>")
}

// Played out by hand.
#[test]
fn signs_of_form_are_played_out() {
    let ending = |number: &str, signs: &str| {
        format!("<barline location='left'><ending number='{number}' type='start'/></barline>{signs}")
    };
    let thrice = BACK.replace("backward'", "backward' times='3'");
    assert_eq!(played(&form(&[("C", FORWARD), ("D", &thrice), ("E", "")])), "1 | 2M | 1 | 2M | 1 | 2M | 3M");
    let first_and_second = ending("1, 2", BACK);
    let third = ending("3", "");
    assert_eq!(
        played(&form(&[("C", FORWARD), ("D", &first_and_second), ("E", &third)])),
        "1 | 2M | 1 | 2M | 1 | 3M"
    );
    // A repeat sign at the left bar line is the end of the bar before.
    let left = "<barline location='left'><repeat direction='backward'/></barline>";
    assert_eq!(played(&form(&[("C", ""), ("D", ""), ("E", left)])), "1 | 2M | 1 | 2M | 3M");
    // To the coda from behind its bar, on the way back without repeats.
    let segno = format!("<direction><direction-type><segno/></direction-type></direction>{BACK}");
    let leave = format!("~{}", words("To Coda"));
    let back = format!("~{}", words("D.S. al Coda"));
    let coda = "<direction><direction-type><coda/></direction-type></direction>";
    let imported = form(&[("C", &segno), ("D", &leave), ("E", &back), ("F", coda), ("G", "")]);
    assert_eq!(played(&imported), "1 | 1 | 2M | 3M | 1 | 2M | 4 | 5");
    assert!(imported.told.iter().any(|told| told.contains("repeats are not played again")));
}

#[test]
fn bars_that_are_never_played_are_told_with_their_chords() {
    let fine = format!("~{}", words("Fine"));
    let imported = form(&[("C", ""), ("D", &fine), ("E", &format!("~{}", words("D.C. al Fine"))), ("F", "")]);
    assert_eq!(played(&imported), "1 | 2M | 3M | 1 | 2M");
    assert!(
        imported.told.iter().any(|told| told.contains("bar 4") && told.contains('F')),
        "{:?}",
        imported.told
    );
    assert_eq!(imported.figures.noted, 1);
}

#[test]
fn words_that_are_no_signs_stay_with_their_bar() {
    let over = words("Dsus4")
        + &words("rit.")
        + "<direction><direction-type><dynamics><mf/></dynamics></direction-type></direction>";
    let imported = read(&format!(
        "<measure>{over}{}<note><rest/><duration>4</duration><notations><fermata/></notations></note></measure>",
        chord("C")
    ));
    assert_eq!(notes(&imported), ["fermata\nDsus4\nrit.\nmf"]);
    assert_eq!((imported.figures.bars, imported.figures.bars_played), (1, 1), "Dsus4 is no Dal Segno");
}

#[test]
fn signs_of_another_part_count_and_its_chords_are_told() {
    let part = |id: &str, bars: &str| format!("<part id='{id}'>{bars}</part>");
    let voice = bar(&(words("Chorus") + "<sound tempo='72'/>"))
        + &format!("<measure><note><rest/><duration>4</duration></note>{}</measure>", &BACK[1..]);
    let piano = first(&chord("C")) + &bar(&chord("G"));
    let bass = bar(&chord("E")) + &bar("");
    let text = format!(
        "<score-partwise>{}{}{}</score-partwise>",
        part("1", &voice),
        part("2", &piano),
        part("3", &bass)
    );
    let imported = musicxml::read(text.as_bytes(), "").unwrap();
    assert_eq!((imported.song.sections[0].name.as_str(), imported.song.tempo), ("Chorus", 72.0));
    assert_eq!(played(&imported), "1 | 5 | 1 | 5");
    assert!(
        imported.told.iter().any(|told| told.contains("bar 1: another part has E here")),
        "{:?}",
        imported.told
    );
    assert_eq!(imported.figures.noted, 1);
}

// Extensible Markup Language 1.0, appendix F; the letters of ISO 8859-1, of code page 1252 and of Unicode.
#[test]
fn letters_are_read_however_they_are_written() {
    let score = |title: &str, encoding: &str| {
        format!(
            "<?xml version=\"1.0\" encoding=\"{encoding}\"?><score-partwise><work><work-title>{title}</work-title></work>\
             <part id='P'>{}</part></score-partwise>",
            bar(&chord("C"))
        )
    };
    let title = |bytes: &[u8]| musicxml::read(bytes, "Lamp").unwrap().song.title;
    let wide = score("Фонарь 渡し舟", "UTF-16");
    for swap in [false, true] {
        let pair = |unit: u16| if swap { unit.to_be_bytes() } else { unit.to_le_bytes() };
        let without: Vec<u8> = wide.encode_utf16().flat_map(pair).collect();
        let with: Vec<u8> = pair(0xFEFF).into_iter().chain(without.iter().copied()).collect();
        assert_eq!((title(&with).as_str(), title(&without).as_str()), ("Фонарь 渡し舟", "Фонарь 渡し舟"));
    }
    let narrow =
        |text: &str| text.chars().map(|c| if c == '’' { 0x92 } else { c as u32 as u8 }).collect::<Vec<u8>>();
    assert_eq!(title(&narrow(&score("L’Été", "ISO-8859-1"))), "L’Été");
    assert_eq!(title(score("  ", "UTF-8").as_bytes()), "Lamp", "an empty title is none");
    let on_the_page = "<credit><credit-type>title</credit-type><credit-words>Fonar</credit-words></credit>\
      <credit><credit-words>Slow Swing</credit-words></credit>";
    let page = score("", "UTF-8").replace("<work><work-title></work-title></work>", on_the_page);
    let song = musicxml::read(page.as_bytes(), "Lamp").unwrap().song;
    assert_eq!(song.title, "Fonar");
    assert!(song.note.unwrap().contains("On the page: Slow Swing"));
    let unknown = musicxml::read(&narrow(&score("Été", "KOI8-R")), "").unwrap_err().to_string();
    assert!(unknown.contains("koi8-r"), "{unknown}");
}

/// Signs that stand before the notes of a measure, and behind them.
fn sign_before() -> impl Strategy<Value = String> {
    let ending = |n: &str| format!("<barline location='left'><ending number='{n}' type='start'/></barline>");
    prop_oneof![
        8 => Just(String::new()),
        2 => Just(FORWARD.to_owned()),
        3 => prop_oneof![Just("1"), Just("2"), Just("1, 3"), Just("")].prop_map(ending),
        1 => Just("<barline location='left'><repeat direction='backward'/></barline>".to_owned()),
        2 => prop_oneof![Just("To Coda"), Just("Coda"), Just("Segno"), Just("Verse"), Just("swing")].prop_map(words),
        1 => (-8..9i8).prop_map(|fifths| format!("<attributes><key><fifths>{fifths}</fifths></key></attributes>")),
        1 => prop_oneof![Just((3, 4)), Just((6, 8)), Just((5, 7)), Just((12, 8))].prop_map(|(upper, lower)| {
            format!("<attributes><time><beats>{upper}</beats><beat-type>{lower}</beat-type></time></attributes>")
        }),
    ]
}

fn sign_behind() -> impl Strategy<Value = String> {
    prop_oneof![
        8 => Just(String::new()),
        4 => Just(BACK[1..].to_owned()),
        2 => Just("<barline><ending number='1' type='stop'/></barline>".to_owned()),
        2 => prop_oneof![Just("D.C. al Fine"), Just("D.S. al Coda"), Just("Fine"), Just("D.C."), Just("To Coda")].prop_map(words),
    ]
}

/// A measure: signs, notes with how many chords before each and how far these are moved, and the signs behind.
type Plan = (String, Vec<(f64, usize, f64)>, String);

fn plan() -> impl Strategy<Value = Plan> {
    let note = prop_oneof![4 => Just(1.0), 2 => Just(2.0), 1 => Just(1.5), 1 => Just(0.333), 1 => Just(0.0625), 1 => Just(5.0)];
    let offset =
        prop_oneof![8 => Just(0.0), 1 => Just(-1.0), 1 => Just(0.5), 1 => Just(1.3333), 1 => Just(7.0)];
    let notes = prop::collection::vec((note, 0..4usize, offset), 0..5);
    (sign_before(), notes, sign_behind())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]

    /// Whatever stands on a page, it becomes a song without mistakes, and every chord is in it or told.
    #[test]
    fn nothing_is_lost_and_nothing_brings_the_reader_down(plans in prop::collection::vec(plan(), 1..12)) {
        let mut chords = 0;
        let mut measures = String::new();
        for (before, notes, behind) in &plans {
            measures += &format!("<measure>{before}");
            for (length, count, offset) in notes {
                for _ in 0..*count {
                    // No two of a measure are alike: one chord twice at one place is one.
                    let root = ["C", "D", "E", "F", "G", "A", "B"][chords % 7];
                    let alter = (chords / 7 % 3) as i8 - 1;
                                        measures += &chord(root)
                        .replace("</root>", &format!("<root-alter>{alter}</root-alter></root>"))
                        .replace("</harmony>", &format!("<offset>{offset}</offset></harmony>"));
                    chords += 1;
                }
                measures += &format!("<note><rest/><duration>{length}</duration></note>");
            }
            measures += &format!("{behind}</measure>");
        }
        prop_assume!(chords > 0);
        let imported = read(&measures);
        let figures = imported.figures;
        prop_assert_eq!(figures.chords + figures.noted, chords, "{:?}\n{}", figures, measures);
        let song = song::read(&imported.song.to_text()).sound();
        prop_assert!(song.is_ok(), "{:?}", song.err());
        let song = song.unwrap().play();
        prop_assert_eq!(song.bars.len(), figures.bars_played);
        prop_assert!(figures.moved + figures.noted == 0 || !notes(&imported).is_empty() || imported.told.len() > 1);
    }
}
