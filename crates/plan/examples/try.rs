//! scratch
use std::time::Instant;
fn main() {
    let dir = std::env::args().nth(1).unwrap();
    let shop = piece::read_shop(&std::fs::read_to_string("examples/shop.toml").unwrap(), "shop.toml").unwrap_or_else(|e| panic!("{e}"));
    let piece = piece::read_piece(&std::fs::read_to_string(format!("{dir}/piece.toml")).unwrap(), "piece.toml", &shop).unwrap_or_else(|e| panic!("{e}"));
    let bytes = std::fs::read(format!("{dir}/{}", piece.artwork)).unwrap();
    for detail in [plan::Detail::Instant, plan::Detail::USUAL] {
        let t = Instant::now();
        let drawing = artwork::svg::read_svg(&bytes, &artwork::svg::ReadOptions::default()).unwrap_or_else(|e| panic!("{e}"));
        println!("read {:?}", t.elapsed());
        let t = Instant::now();
        let plan = plan::plan(&piece, &drawing, &shop, detail).unwrap_or_else(|e| panic!("{e}"));
        println!("plan {:?}", t.elapsed());
        println!("{}\n{}", plan::words::sentence(&plan), plan::words::recipe(&plan));
        for s in &plan.stages { println!("stage {} opens {} dose {} weed {} blast {} wait {}", s.order, plan::words::stage_opens(&plan, s), s.dose, s.weed, s.blast, s.wait); }
        for l in &plan.layers { println!("{} target {} area {} reach {:?}", l.name, l.target, l.area, l.reach); }
        for f in &plan.findings { let w = plan::words::finding(f, plan.units); println!("[{}] {} | {} | {} | {:?}", plan::words::state(f.state), w.title, w.why, w.source, w.remedies); }
        println!("{:?} {:?}", plan.air, plan.resist);
        println!("{:?}", plan.cost);
    }
}
