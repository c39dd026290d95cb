use crate::print::{part_of, shapes, song_text, strikes};
#[test]
fn show() {
    for file in std::fs::read_dir("../../demo-songs").unwrap() {
        let path = file.unwrap().path();
        if path.extension().is_none_or(|e| e != "json") {
            continue;
        }
        let text = std::fs::read_to_string(&path).unwrap();
        let r = song::read(&text);
        if r.sound().is_err() {
            println!("{path:?} not sound");
            continue;
        }
        let part = part_of(&text);
        println!("{path:?}\n{}", shapes(&part));
    }
    let part = part_of(&song_text("C major", "", "1 5 | 6 4 | 2(7) 5(7) | <1>"));
    println!("{}{}", shapes(&part), strikes(&part, theory::Hand::Right));
}
