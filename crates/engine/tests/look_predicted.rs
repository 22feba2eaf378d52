use engine::validation::{trust_evidence, trust::trusted};
#[test]
fn look() {
    let t = engine::table::Tables::load().unwrap();
    for x in trusted(&trust_evidence(&t).unwrap()) { println!("TRUST {} {:.4} {} {} {:?}", x.kind.name(), x.widening, x.treatments, x.values, x.needed); }
}
