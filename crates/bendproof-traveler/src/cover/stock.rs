//! The coupons a test bay can cut, from `data/coupon_stock.toml`, and the tests
//! it can give with them.
//!
//! Which of them a job needs is the engine's answer, not this module's.

use crate::joint::nominal_of;

use std::f64::consts::PI;
use std::sync::OnceLock;

use bendproof_codes::ahead::Candidate;
use bendproof_codes::held::{PassedTest, TestDetails};
use bendproof_codes::words::TestShape;
use bendproof_measure::{Kind, Quantity, System, say};
use bendproof_weld::pipe::{PipeSize, pipe_sizes};
use bendproof_weld::{Backing, Polarity, Position, Process, Progression, Transfer};
use jiff::civil::Date;

/// Metal that coupons are cut from.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Blank {
    pub name: String,
    pub shape: TestShape,
    pub thickness: Quantity,
    pub outside_diameter: Option<Quantity>,
    pub nominal_size: Option<Quantity>,
    /// Layers asked of whoever welds it.
    pub layers: Option<u32>,
    /// Metal of one coupon.
    pub metal_m3: f64,
}

/// What a test is welded with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Way {
    pub process: Process,
    pub transfer: Option<Transfer>,
    /// F-number.
    pub filler: Option<String>,
    /// Filler group and type of ISO 9606-1.
    pub fm_group: Option<String>,
    pub filler_type: Option<String>,
    /// P-number of the metal it is welded in.
    pub base_metal: Option<String>,
    pub polarity: Option<Polarity>,
    pub backing_gas: Option<bool>,
}

/// The stock as the data hold it.
#[derive(Debug, Default)]
pub(crate) struct Stock {
    pub blanks: Vec<Blank>,
    plate: Vec<Vec<Position>>,
    pipe: Vec<Vec<Position>>,
    plate_area_m2: f64,
    pipe_length_m: f64,
}

/// The committed stock. A row that does not read is left out, and a test
/// refuses such data.
pub(crate) fn stock() -> &'static Stock {
    static STOCK: OnceLock<Stock> = OnceLock::new();
    STOCK.get_or_init(|| read(&table()).unwrap_or_default())
}

fn table() -> toml::Table {
    include_str!("../../../../data/coupon_stock.toml").parse().unwrap_or_default()
}

fn rows<'a>(table: &'a toml::Table, key: &str) -> Vec<&'a toml::Table> {
    let list = table.get(key).and_then(toml::Value::as_array);
    list.into_iter().flatten().filter_map(toml::Value::as_table).collect()
}

fn length(row: &toml::Table, key: &str) -> Option<Quantity> {
    Quantity::parse(Kind::Length, row.get(key)?.as_str()?).ok()
}

fn read(table: &toml::Table) -> Option<Stock> {
    let coupon = table.get("coupon")?.as_table()?;
    let positions = table.get("positions")?.as_table()?;
    let mut stock = Stock {
        plate: tests(positions, "plate"),
        pipe: tests(positions, "pipe"),
        plate_area_m2: length(coupon, "plate_length")?.si * length(coupon, "plate_width")?.si,
        pipe_length_m: length(coupon, "pipe_length")?.si,
        blanks: Vec::new(),
    };
    let layers = |row: &toml::Table| u32::try_from(row.get("layers")?.as_integer()?).ok();
    let plates = rows(table, "plate").into_iter().filter_map(|r| Some((length(r, "thickness")?, layers(r))));
    let pipes = rows(table, "pipe").into_iter().filter_map(|row| {
        let text = |key: &str| row.get(key).and_then(toml::Value::as_str);
        let (size, schedule) =
            (pipe_sizes().iter().find(|s| Some(s.nps.as_str()) == text("nps"))?, text("schedule")?);
        Some((size, schedule, layers(row)))
    });
    let plates: Vec<Blank> = plates.map(|(thickness, layers)| stock.plate_blank(thickness, layers)).collect();
    let pipes: Vec<Blank> =
        pipes.filter_map(|(size, schedule, n)| stock.stock_pipe(size, schedule, n)).collect();
    stock.blanks = [plates, pipes].concat();
    Some(stock)
}

fn tests(table: &toml::Table, key: &str) -> Vec<Vec<Position>> {
    let list = table.get(key).and_then(toml::Value::as_array);
    let test = |v: &toml::Value| -> Option<Vec<Position>> {
        v.as_array()?.iter().map(|word| Position::from_word(word.as_str()?)).collect()
    };
    list.into_iter().flatten().filter_map(test).collect()
}

/// A wall or diameter of the pipe table, which is in inches.
fn inches(si: f64) -> Quantity {
    Quantity { si, kind: Kind::Length, system: System::Inch }
}

impl Stock {
    /// A plate of this thickness.
    pub fn plate_blank(&self, thickness: Quantity, layers: Option<u32>) -> Blank {
        Blank {
            name: format!("{} plate", say(&thickness)),
            shape: TestShape::Plate,
            thickness,
            outside_diameter: None,
            nominal_size: None,
            layers,
            metal_m3: thickness.si * self.plate_area_m2,
        }
    }

    /// A pipe of this wall and diameter.
    pub fn pipe_blank(
        &self,
        name: String,
        wall: Quantity,
        outside: Quantity,
        nominal: Option<Quantity>,
    ) -> Blank {
        Blank {
            name,
            shape: TestShape::Pipe,
            thickness: wall,
            outside_diameter: Some(outside),
            nominal_size: nominal,
            layers: None,
            metal_m3: PI * (outside.si - wall.si) * wall.si * self.pipe_length_m,
        }
    }

    fn stock_pipe(&self, size: &PipeSize, schedule: &str, layers: Option<u32>) -> Option<Blank> {
        let wall = size.walls.iter().find(|w| w.schedule == schedule)?;
        let name = format!("NPS {} schedule {schedule} pipe", size.nps);
        let (wall, outside) = (inches(wall.thickness_m.value), inches(size.outside_diameter_m));
        Some(Blank { layers, ..self.pipe_blank(name, wall, outside, nominal_of(size)) })
    }

    /// Every test of the stock and of the job's own metal, welded each way; fillet
    /// tests are none, as a coupon here holds grooves. Where the code asks for it,
    /// open-root pipe is prepared to the no-backing figure.
    pub fn candidates(&self, ways: &[Way], own: &[Blank], to_figure: bool, day: Date) -> Vec<Candidate> {
        let blanks: Vec<&Blank> = self.blanks.iter().chain(own).collect();
        let mut out = Vec::new();
        for way in ways {
            for blank in &blanks {
                let grooves = if blank.shape == TestShape::Plate { &self.plate } else { &self.pipe };
                for positions in grooves {
                    for backing in Backing::ALL {
                        let root = Root::of(blank.shape, *backing, to_figure);
                        out.extend(tests_of(way, blank, positions, root, day));
                    }
                }
            }
        }
        out
    }
}

/// What is behind the root of a test.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Root {
    Open,
    /// Open-root pipe, prepared to the code's figure for it.
    NoBackingFigure,
    Steel,
}

impl Root {
    fn of(shape: TestShape, backing: Backing, to_figure: bool) -> Self {
        match backing {
            Backing::Steel => Root::Steel,
            Backing::Open if to_figure && shape == TestShape::Pipe => Root::NoBackingFigure,
            Backing::Open => Root::Open,
        }
    }

    fn backing(self) -> Backing {
        match self {
            Root::Open | Root::NoBackingFigure => Backing::Open,
            Root::Steel => Backing::Steel,
        }
    }
}

/// One test for each progression where a position rises, else one.
fn tests_of(way: &Way, blank: &Blank, positions: &[Position], root: Root, day: Date) -> Vec<Candidate> {
    let rises = positions.iter().any(|p| p.rises());
    let progressions: &[Option<Progression>] =
        if rises { &[Some(Progression::Uphill), Some(Progression::Downhill)] } else { &[None] };
    progressions.iter().map(|progression| candidate(way, blank, positions, *progression, root, day)).collect()
}

fn candidate(
    way: &Way,
    blank: &Blank,
    positions: &[Position],
    progression: Option<Progression>,
    root: Root,
    day: Date,
) -> Candidate {
    let positions_text = positions.iter().map(|p| p.word()).collect::<Vec<_>>().join(" + ");
    let progression_text = progression.map(|p| format!(" {p}")).unwrap_or_default();
    let transfer_text = way.transfer.map(|t| format!(" {t}")).unwrap_or_default();
    let root_text = match root {
        Root::Open => ", open root",
        Root::NoBackingFigure => ", open root to the no-backing figure",
        Root::Steel => ", steel backing",
    };
    let filler_text = way.filler.as_ref().map(|f| format!(" {f}")).unwrap_or_default();
    let polarity_text = way.polarity.map(|p| format!(" {p}")).unwrap_or_default();
    let gas_text = match way.backing_gas.filter(|_| root != Root::Steel) {
        Some(true) => " with backing gas",
        Some(false) => " without backing gas",
        None => "",
    };
    let name = format!(
        "{positions_text}{progression_text}, {}{root_text}{gas_text}, {}{transfer_text}{filler_text}{polarity_text}",
        blank.name, way.process
    );
    let test = PassedTest {
        welder: String::new(),
        process: way.process,
        transfer: way.transfer,
        positions: positions.to_vec(),
        shape: blank.shape,
        thickness: blank.thickness,
        deposit: None,
        layers: blank.layers,
        outside_diameter: blank.outside_diameter,
        nominal_size: blank.nominal_size,
        progressions: progression.into_iter().collect(),
        backing: root.backing(),
        filler: way.filler.clone(),
        details: TestDetails {
            fm_group: way.fm_group.clone(),
            filler_type: way.filler_type.clone(),
            base_metal: way.base_metal.clone(),
            polarity: way.polarity,
            backing_gas: way.backing_gas,
            figure: (root == Root::NoBackingFigure).then(|| "no-backing".to_owned()),
            ..TestDetails::default()
        },
        procedure_test: false,
        finished: day,
        uses: Vec::new(),
    };
    Candidate { name, test, metal_m3: blank.metal_m3 * positions.len() as f64 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_of_the_stock_reads() {
        let table = table();
        assert_eq!(stock().blanks.len(), rows(&table, "plate").len() + rows(&table, "pipe").len());
        assert!(stock().blanks.iter().all(|b| b.metal_m3 > 0.0));
        let positions = table.get("positions").and_then(toml::Value::as_table).cloned().unwrap_or_default();
        let listed = |key: &str| positions.get(key).and_then(toml::Value::as_array).map_or(0, Vec::len);
        assert_eq!(stock().plate.len(), listed("plate"));
        assert_eq!(stock().pipe.len(), listed("pipe"));
        for row in rows(&table, "plate").into_iter().chain(rows(&table, "pipe")) {
            let basis = row.get("basis").and_then(toml::Value::as_str).unwrap_or_default();
            assert!(bendproof_weld::basis::Basis::from_word(basis).is_some(), "{row:?}");
            assert!(row.contains_key("source"), "{row:?}");
        }
    }

    #[test]
    fn a_rising_test_is_offered_uphill_and_downhill() {
        let (process, transfer) = (Process::Gmaw, Some(Transfer::ShortCircuit));
        let way = Way {
            process,
            transfer,
            filler: None,
            fm_group: None,
            filler_type: None,
            base_metal: None,
            polarity: None,
            backing_gas: None,
        };
        let all = stock().candidates(&[way], &[], false, jiff::civil::date(2026, 11, 2));
        let of = |start: &str| all.iter().filter(|c| c.name.starts_with(start)).count();
        assert_eq!(of("3G uphill, 3/8 in plate"), 2);
        assert_eq!(of("3G downhill, 3/8 in plate"), 2);
        assert_eq!(of("1G, 3/8 in plate"), 2);
        assert!(all.iter().all(|c| !c.name.contains("fillet")));
    }
}
