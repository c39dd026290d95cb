//! The demo songs are read without a mistake.

#[test]
fn demo_songs_have_no_mistakes() {
    let songs = [
        include_str!("../../../demo-songs/frost-on-the-sluice.json"),
        include_str!("../../../demo-songs/heron-waltz.json"),
        include_str!("../../../demo-songs/lanterns-at-the-lock.json"),
        include_str!("../../../demo-songs/saturday-quay.json"),
        include_str!("../../../demo-songs/the-long-pound.json"),
    ];
    for text in songs {
        let reading = song::read(text);
        for d in &reading.diagnostics {
            println!("{}", d.in_file("x"));
        }
        println!("bars {}", reading.sound().unwrap().play().bars.len());
    }
}
