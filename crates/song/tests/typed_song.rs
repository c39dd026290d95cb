//! A song typed from nothing, edit by edit.

use song::edit::{Change, apply};
use song::forms::FORMS;

#[test]
fn the_first_section_of_an_empty_song_is_put_in() {
    let text = FORMS[0].text("New");
    let heading = Change::InsertSection { at: 0, name: "Intro".into(), rows: Vec::new() };
    let text = apply(&text, &heading).unwrap().text;
    let text = apply(&text, &Change::InsertRow { section: 0, row: 0, text: "3".into() }).unwrap().text;
    let text = apply(&text, &Change::Row { section: 0, row: 0, text: "3/4: 1.. 5.".into() }).unwrap().text;
    let song = song::read(&text).sound().unwrap();
    assert_eq!(song.play().bars.len(), 1);
}
