//! Reads the `demand` table of a rule.
//!
//! Every shape a demand may take is named here by its `is` key; values are
//! taken as they stand.

use toml::{Table, Value};

use crate::rule::{
    Counts, Demand, Extent, Most, PipeRow, Sort, Stretch, allow_keys, extent, fact_named, number, pair,
    strings, word,
};
use crate::words::{Counted, Facet, Verdict};

pub(crate) fn demand(table: &Table) -> Result<Demand, String> {
    let is = table.get("is").and_then(Value::as_str).ok_or("`is` says what is demanded")?;
    let read = Reader { table };
    match is {
        "at_most" | "at_least" => read.limit(is),
        "sum" => read.sum(),
        "straps_over" => read.straps_over(),
        "within" => read.within(),
        "flag" => read.flag(),
        "ignore" => read.bare(Demand::Ignore),
        "refuse" => read.bare(Demand::Refuse),
        "says" => read.bare(Demand::Says),
        "doubt" => {
            read.only(&["facet", "joints", "backing", "words", "over"])?;
            Ok(Demand::Doubt {
                facet: table.contains_key("facet").then(|| read.facet()).transpose()?,
                joints: read.list("joints")?,
                backing: read.list("backing")?,
                words: read.list("words")?,
                over: table.contains_key("over").then(|| read.extent("over")).transpose()?,
            })
        }
        "words" => read.words(),
        "same" => {
            read.only(&["facet"])?;
            Ok(Demand::Same { facet: read.facet()? })
        }
        "positions" => read.positions(),
        "range" => read.range(),
        "months" => {
            read.only(&["months", "counts"])?;
            Ok(Demand::Months(read.months()?, read.counted()?))
        }
        "ends" => {
            read.only(&["months", "renewable"])?;
            let renewable = read.get("renewable")?.as_bool().ok_or("`renewable` is true or false")?;
            Ok(Demand::Ends { months: read.months()?, renewable })
        }
        "counts" => read.counts(),
        "film" => {
            read.only(&["stands"])?;
            let stands = read.get("stands")?.as_bool().ok_or("`stands` is true or false")?;
            Ok(Demand::Film { stands })
        }
        "strap" => {
            read.only(&["width", "length", "thickness", "edge_radius"])?;
            Ok(Demand::Strap {
                width: read.extent("width")?,
                length: read.extent("length")?,
                thickness: read.extent("thickness")?,
                edge_radius: read.extent("edge_radius")?,
            })
        }
        "jig" => {
            read.only(&["a", "b", "c", "d"])?;
            Ok(Demand::Jig {
                a: read.extent("a")?,
                b: read.extent("b")?,
                c: read.extent("c")?,
                d: read.extent("d")?,
            })
        }
        "layout" => read.layout(),
        "variable" => crate::rule::read_allowed(table).map(Demand::Variable),
        other => Err(format!("`{other}` is not a demand this program knows")),
    }
}

struct Reader<'a> {
    table: &'a Table,
}

impl Reader<'_> {
    fn only(&self, keys: &[&str]) -> Result<(), String> {
        allow_keys(self.table, &[&["is"], keys].concat())
    }

    fn bare(&self, demand: Demand) -> Result<Demand, String> {
        self.only(&[]).map(|()| demand)
    }

    fn get(&self, key: &str) -> Result<&Value, String> {
        self.table.get(key).ok_or_else(|| format!("`{key}` is missing"))
    }

    fn text(&self, key: &str) -> Result<&str, String> {
        self.get(key)?.as_str().ok_or_else(|| format!("`{key}` is a word"))
    }

    fn extent(&self, key: &str) -> Result<Extent, String> {
        extent(self.get(key)?).map_err(|why| format!("`{key}`: {why}"))
    }

    fn strings(&self, key: &str) -> Result<Vec<String>, String> {
        strings(self.get(key)?).map_err(|why| format!("`{key}`: {why}"))
    }

    /// A list that may be left out.
    fn list(&self, key: &str) -> Result<Vec<String>, String> {
        self.table.get(key).map_or(Ok(Vec::new()), |_| self.strings(key))
    }

    /// Which days of use keep the period running.
    fn counted(&self) -> Result<Counted, String> {
        let word = self.get("counts")?.as_str().ok_or("`counts` is a word")?;
        Counted::from_word(word).ok_or_else(|| format!("`counts` is one of {}", Counted::WORDS.join(", ")))
    }

    fn months(&self) -> Result<i32, String> {
        let months = self.get("months")?.as_integer().ok_or("`months` is a whole number")?;
        i32::try_from(months).map_err(|_| "`months` is too large".to_owned())
    }

    fn facet(&self) -> Result<Facet, String> {
        word(self.text("facet")?, Facet::from_word, Facet::WORDS)
    }

    /// A breach is a rejection unless the rule says otherwise.
    fn breach(&self) -> Result<Verdict, String> {
        match self.table.get("breach") {
            Some(_) => word(self.text("breach")?, Verdict::from_word, Verdict::WORDS),
            None => Ok(Verdict::Reject),
        }
    }

    fn limit(&self, is: &str) -> Result<Demand, String> {
        self.only(&["fact", "limit", "breach"])?;
        let (fact, sort) = fact_named(self.text("fact")?)?;
        let listed = sort == Sort::Spans && is == "at_most";
        if sort.kind().is_none() && !listed {
            return Err(format!("`{fact}` is not a size"));
        }
        let (limit, breach) = (self.extent("limit")?, self.breach()?);
        Ok(match is {
            "at_most" => Demand::AtMost { fact, limit, breach },
            _ => Demand::AtLeast { fact, limit, breach },
        })
    }

    fn words(&self) -> Result<Demand, String> {
        self.only(&["facet", "words", "joints", "backing"])?;
        Ok(Demand::Words {
            facet: self.facet()?,
            words: self.strings("words")?,
            joints: self.list("joints")?,
            backing: self.list("backing")?,
        })
    }

    fn range(&self) -> Result<Demand, String> {
        self.only(&["facet", "min", "over", "max", "under", "joints"])?;
        let has = |key: &str| self.table.contains_key(key);
        let (min_excluded, max_excluded) = (has("over"), has("under"));
        Ok(Demand::Range {
            facet: self.facet()?,
            min: self.extent(if min_excluded { "over" } else { "min" })?,
            max: self.extent(if max_excluded { "under" } else { "max" })?,
            min_excluded,
            max_excluded,
            joints: self.list("joints")?,
        })
    }

    fn sum(&self) -> Result<Demand, String> {
        self.only(&["over", "up_to", "at_most", "breach"])?;
        Ok(Demand::Sum {
            over: pair(self.get("over")?)?,
            up_to: pair(self.get("up_to")?)?,
            at_most: pair(self.get("at_most")?)?,
            breach: self.breach()?,
        })
    }

    fn straps_over(&self) -> Result<Demand, String> {
        self.only(&["limit", "at_most", "of", "breach"])?;
        let count = |key: &str| whole(self.get(key)?).ok_or_else(|| format!("`{key}` is a whole number"));
        Ok(Demand::StrapsOver {
            limit: pair(self.get("limit")?)?,
            at_most: count("at_most")?,
            of: count("of")?,
            breach: self.breach()?,
        })
    }

    fn within(&self) -> Result<Demand, String> {
        self.only(&["fact", "over", "stretch", "apart", "sum", "count", "breach"])?;
        let (fact, sort) = fact_named(self.text("fact")?)?;
        if sort != Sort::Spans {
            return Err(format!("`{fact}` is not a list of things along a weld"));
        }
        let optional = |key: &str| self.table.get(key).map(extent).transpose();
        let most = match (optional("sum")?, self.table.get("count").and_then(whole)) {
            (Some(sum), None) => Most::Sum(sum),
            (None, Some(count)) => Most::Count(count),
            _ => return Err("give one of `sum`, a size, and `count`, a whole number".to_owned()),
        };
        let stretch = Stretch {
            over: optional("over")?,
            length: optional("stretch")?,
            apart: self.table.get("apart").and_then(number),
        };
        Ok(Demand::Within { fact, stretch, most, breach: self.breach()? })
    }

    fn flag(&self) -> Result<Demand, String> {
        self.only(&["fact", "wanted", "breach"])?;
        let (fact, sort) = fact_named(self.text("fact")?)?;
        if sort != Sort::Flag {
            return Err(format!("`{fact}` is not a yes or no"));
        }
        let wanted = self.get("wanted")?.as_bool().ok_or("`wanted` is true or false")?;
        Ok(Demand::Flag { fact, wanted, breach: self.breach()? })
    }

    fn positions(&self) -> Result<Demand, String> {
        self.only(&["plate_groove", "fillet", "pipe_groove", "pipe_fillet"])?;
        let has_pipe_fillet = self.table.contains_key("pipe_fillet");
        Ok(Demand::Positions {
            plate_groove: self.strings("plate_groove")?,
            fillet: self.strings("fillet")?,
            pipe_groove: self.rows("pipe_groove")?,
            pipe_fillet: has_pipe_fillet.then(|| self.rows("pipe_fillet")).transpose()?,
        })
    }

    fn rows(&self, key: &str) -> Result<Vec<PipeRow>, String> {
        let rows = self.get(key)?.as_array().ok_or_else(|| format!("`{key}` is a list of rows"))?;
        rows.iter().map(pipe_row).collect()
    }

    fn counts(&self) -> Result<Demand, String> {
        self.only(&["sets"])?;
        let sets = self.get("sets")?.as_array().ok_or("`sets` is a list")?;
        let sets: Result<Vec<Counts>, String> = sets.iter().map(count_set).collect();
        sets.map(Demand::Counts)
    }

    fn layout(&self) -> Result<Demand, String> {
        self.only(&["order", "angles_deg", "discard"])?;
        let order = self.strings("order")?;
        let angles_deg: Option<Vec<f64>> = match self.table.get("angles_deg") {
            Some(list) => list.as_array().and_then(|a| a.iter().map(number).collect()),
            None => Some(Vec::new()),
        };
        let angles_deg = angles_deg.ok_or("`angles_deg` is a list of numbers")?;
        if !angles_deg.is_empty() && angles_deg.len() != order.len() {
            return Err("there is one angle for each strap".to_owned());
        }
        let discard = self.table.get("discard").map(pair).transpose()?;
        Ok(Demand::Layout { order, angles_deg, discard })
    }
}

fn pipe_row(value: &Value) -> Result<PipeRow, String> {
    let table = value.as_table().ok_or("a row is a table")?;
    allow_keys(table, &["words", "from", "over", "backing", "rotated"])?;
    let from_excluded = table.contains_key("over");
    let from = table.get("from").or(table.get("over")).map(pair).transpose()?;
    Ok(PipeRow {
        words: strings(table.get("words").ok_or("`words` is missing")?)?,
        from,
        from_excluded,
        backing: table.get("backing").map(strings).transpose()?.unwrap_or_default(),
        rotated: table.get("rotated").and_then(Value::as_bool).unwrap_or_default(),
    })
}

fn whole(value: &Value) -> Option<u32> {
    value.as_integer().and_then(|n| u32::try_from(n).ok())
}

fn count_set(value: &Value) -> Result<Counts, String> {
    let table = value.as_table().ok_or("a set is a table")?;
    allow_keys(table, &["face", "root", "side", "tension", "nick_break"])?;
    let count = |key: &str| -> Result<u32, String> {
        match table.get(key) {
            None => Ok(0),
            Some(v) => whole(v).ok_or_else(|| format!("`{key}` is a whole number")),
        }
    };
    Ok(Counts {
        face: count("face")?,
        root: count("root")?,
        side: count("side")?,
        tension: count("tension")?,
        nick_break: count("nick_break")?,
    })
}
