//! scratch
fn main() {
    for file in std::env::args().skip(2) {
        let cell: f64 = std::env::args().nth(1).unwrap().parse().unwrap();
        let text = std::fs::read_to_string(&file).unwrap();
        let read = bendproof_traveler::read_forecast(&text, None);
        let (coupon, f, _) = read.forecast.unwrap();
        let t = std::time::Instant::now();
        let s = match bendproof_forecast::solved::solve(
            &coupon,
            &bendproof_forecast::solved::SolveParams { cell_m: cell * 1e-3, beads_max: 60 },
        ) {
            Ok(s) => s,
            Err(e) => {
                println!("{file} {e}");
                continue;
            }
        };
        println!("{file} {:.2} s hollow {:?}", t.elapsed().as_secs_f64(), s.root_on_hollow);
        println!("  fit: left {:?} right {:?}", f.root.left_edge.margin, f.root.right_edge.margin);
        for b in &s.beads {
            let c = &b.contact;
            let mm = |x: Option<f64>| x.map(|v| (v * 1e5).round() / 100.0);
            println!(
                "  bead {} pass {} T0 {:.0} land {:?} wallL {:?} wallR {:?} below {:?} deep {:.2} thin {:?} lig {:.2} remelt {:?} t85 {:?} haz {:?} pool L {:.1} w {:.1} V {:.0} hot {:.0} cells {} {}x{} stages {} sym {} | cf tie {:?} depth {:?} t85 {:?}",
                b.number,
                b.pass,
                b.before_k - 273.15,
                b.land.map(|l| (mm(Some(l.left_m)), mm(Some(l.right_m)))),
                mm(c.left_m),
                mm(c.right_m),
                mm(c.below_m),
                c.deepest_m * 1e3,
                c.thinnest_mm,
                b.ligament_m * 1e3,
                b.remelted_share,
                b.t85_s,
                mm(b.haz_width_m),
                b.field.pool.length_m * 1e3,
                b.field.pool.width_m * 1e3,
                b.field.pool.volume_m3 * 1e9,
                b.field.pool.hottest_k - 273.15,
                b.info.cells,
                b.field.y.cells(),
                b.field.z.cells(),
                b.info.stages,
                b.info.symmetric,
                mm(f.passes[b.pass - 1].tie_in.margin),
                mm(f.passes[b.pass - 1].depth_m),
                f.passes[b.pass - 1].t85_s
            );
        }
    }
}
