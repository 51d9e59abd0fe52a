mod rooms;
#[test]
fn debug() {
    for (seed, name) in [(258, "2-13"), (335, "1-40"), (377, "2-03")] {
        let c = rooms::random_room(seed);
        let l = setout::set_out(&c, &setout::Budget { steps: 40 }).unwrap();
        for p in l.layers.iter().flat_map(|l| &l.pieces).filter(|p| p.name == name) {
            println!("{seed} {:?}", p.on_sheet);
        }
    }
}
