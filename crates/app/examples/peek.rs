fn main() {
    for f in std::env::args().skip(1) {
        let s: engine::estimate::standing::Standing = postcard::from_bytes(&std::fs::read(&f).unwrap()).unwrap();
        println!("{f}\n  {:?} learned {}", s.settled.moves(), s.settled.lessons(10000).len());
    }
}
