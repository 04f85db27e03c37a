//! A greatest size that a weld is held to, as it stands before the weld is made:
//! a plain size, or one that grows with the weld's own width.

/// The greatest height of a cap or of a root, in metres.
///
/// Codes print either a plain size or one that follows the width of the bead, as
/// "0.1 times the width plus 1 mm, 5 mm at the most". Before welding the width is
/// the forecast's, so the limit is kept as a line over it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SizeLimit {
    /// Never more than this, m; infinite where only the width limits it.
    pub most_m: f64,
    /// How much it grows with the width, as a share; 0 for a plain size.
    pub per_width: f64,
    /// The same line at no width, m; infinite for a plain size.
    pub plus_m: f64,
}

impl SizeLimit {
    /// A plain size, m.
    pub const fn plain(most_m: f64) -> Self {
        Self { most_m, per_width: 0.0, plus_m: f64::INFINITY }
    }

    /// A size that is `times` the width and `plus_m` more.
    pub const fn growing(times: f64, plus_m: f64) -> Self {
        Self { most_m: f64::INFINITY, per_width: times, plus_m }
    }

    /// The limit of a weld this wide, m.
    ///
    /// # Examples
    /// ```
    /// use bendproof_weld::SizeLimit;
    ///
    /// let limit = SizeLimit::growing(0.15, 1e-3).and(SizeLimit::plain(7e-3));
    /// assert!((limit.at(10e-3) - 2.5e-3).abs() < 1e-12);
    /// assert!((limit.at(60e-3) - 7e-3).abs() < 1e-12);
    /// ```
    pub fn at(&self, width_m: f64) -> f64 {
        self.most_m.min(self.per_width * width_m + self.plus_m)
    }

    /// Both limits at once. Of two lines the flatter and the lower start are
    /// kept, which is never above either.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        let (per_width, plus_m) = match (self.plus_m.is_finite(), other.plus_m.is_finite()) {
            (true, false) => (self.per_width, self.plus_m),
            (false, _) => (other.per_width, other.plus_m),
            (true, true) => (self.per_width.min(other.per_width), self.plus_m.min(other.plus_m)),
        };
        Self { most_m: self.most_m.min(other.most_m), per_width, plus_m }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_limits_at_once_are_never_wider_than_either() {
        let all = [
            SizeLimit::plain(3e-3),
            SizeLimit::plain(5e-3),
            SizeLimit::growing(0.1, 1e-3).and(SizeLimit::plain(5e-3)),
            SizeLimit::growing(0.25, 0.2e-3),
        ];
        for a in all {
            for b in all {
                for width_m in [0.0, 4e-3, 12e-3, 80e-3] {
                    assert!(a.and(b).at(width_m) <= a.at(width_m).min(b.at(width_m)) + 1e-15, "{a:?} {b:?}");
                }
            }
        }
        assert_eq!(SizeLimit::plain(3e-3).and(SizeLimit::plain(5e-3)), SizeLimit::plain(3e-3));
    }
}
