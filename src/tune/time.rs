//! Musical time as exact fractions of a whole note, and metres.

use std::fmt;
use std::ops::{Add, AddAssign, Mul, Neg, Sub};

/// An exact fraction in lowest terms, denominator positive. Results too large for 64 bits are rounded to the nearest
/// fraction that fits, so arithmetic never panics; readers bound their input far below that.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Fraction {
    num: i64,
    den: i64,
}

impl Fraction {
    /// Zero.
    pub const ZERO: Self = Self { num: 0, den: 1 };
    /// One.
    pub const ONE: Self = Self { num: 1, den: 1 };

    /// `num / den` in lowest terms; a zero denominator counts as 1.
    pub fn new(num: i64, den: i64) -> Self {
        Self::reduce(i128::from(num), i128::from(den))
    }
    fn reduce(num: i128, den: i128) -> Self {
        let (num, den) = match den {
            0 => (num, 1),
            den if den < 0 => (-num, -den),
            den => (num, den),
        };
        let divisor = gcd(num.unsigned_abs(), den.unsigned_abs()).max(1);
        let divisor = i128::try_from(divisor).unwrap_or(1);
        let (mut num, mut den) = (num / divisor, den / divisor);
        while i64::try_from(num).is_err() || i64::try_from(den).is_err() {
            num /= 2;
            den = (den / 2).max(1);
            if den == 1 && i64::try_from(num).is_err() {
                num = if num > 0 { i128::from(i64::MAX) } else { i128::from(i64::MIN + 1) };
            }
        }
        // What was halved to fit may have a divisor again.
        let (num, den) = (i64::try_from(num).unwrap_or(i64::MAX), i64::try_from(den).unwrap_or(1));
        let divisor = i64::try_from(gcd(num.unsigned_abs().into(), den.unsigned_abs().into())).unwrap_or(1).max(1);
        Self { num: num / divisor, den: den / divisor }
    }
    /// The same for figures that fit 64 bits, as nearly all in music do: a short division instead of a long one.
    fn reduce_short(num: i64, den: i64) -> Self {
        let (mut a, mut b) = (num.unsigned_abs(), den.unsigned_abs());
        while b != 0 {
            (a, b) = (b, a % b);
        }
        match i64::try_from(a) {
            Ok(divisor) if divisor > 0 && den > 0 => Self { num: num / divisor, den: den / divisor },
            _ => Self::reduce(num.into(), den.into()),
        }
    }
    /// Whether sums and products of two of them stay within 64 bits.
    const fn is_short(self) -> bool {
        self.num.unsigned_abs() < 1 << 30 && self.den < 1 << 30
    }
    /// The numerator, signed.
    pub const fn num(self) -> i64 {
        self.num
    }
    /// The denominator, positive.
    pub const fn den(self) -> i64 {
        self.den
    }
    /// The nearest float.
    pub fn to_f64(self) -> f64 {
        self.num as f64 / self.den as f64
    }
    /// `self / other`; zero when `other` is zero.
    pub fn over(self, other: Self) -> Self {
        if other.num == 0 {
            return Self::ZERO;
        }
        if self.is_short() && other.is_short() {
            let sign = other.num.signum();
            return Self::reduce_short(self.num * other.den * sign, self.den * other.num * sign);
        }
        Self::reduce(i128::from(self.num) * i128::from(other.den), i128::from(self.den) * i128::from(other.num))
    }
    /// The largest whole number not above it.
    pub const fn floor(self) -> i64 {
        self.num.div_euclid(self.den)
    }
    /// What is left over whole multiples of `unit` (0 when `unit` is zero).
    pub fn remainder(self, unit: Self) -> Self {
        self - unit * Self::new(self.over(unit).floor(), 1)
    }
    /// Whether it is zero.
    pub const fn is_zero(self) -> bool {
        self.num == 0
    }
    /// Reads `3/4` or `2`.
    pub fn parse(text: &str) -> Option<Self> {
        match text.split_once('/') {
            Some((num, den)) => {
                let den: i64 = den.trim().parse().ok()?;
                (den != 0).then_some(())?;
                Some(Self::new(num.trim().parse().ok()?, den))
            }
            None => Some(Self::new(text.trim().parse().ok()?, 1)),
        }
    }
}

fn gcd(mut a: u128, mut b: u128) -> u128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

impl Ord for Fraction {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        if self.is_short() && other.is_short() {
            return (self.num * other.den).cmp(&(other.num * self.den));
        }
        (i128::from(self.num) * i128::from(other.den)).cmp(&(i128::from(other.num) * i128::from(self.den)))
    }
}
impl PartialOrd for Fraction {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Default for Fraction {
    fn default() -> Self {
        Self::ZERO
    }
}
impl Add for Fraction {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        if self.is_short() && other.is_short() {
            return if self.den == other.den {
                Self::reduce_short(self.num + other.num, self.den)
            } else {
                Self::reduce_short(self.num * other.den + other.num * self.den, self.den * other.den)
            };
        }
        let (a, b, c, d) = (self.num.into(), self.den.into(), i128::from(other.num), i128::from(other.den));
        let (a, b): (i128, i128) = (a, b);
        Self::reduce(a * d + c * b, b * d)
    }
}
impl Neg for Fraction {
    type Output = Self;
    fn neg(self) -> Self {
        match self.num.checked_neg() {
            Some(num) => Self { num, den: self.den },
            None => Self::reduce(-i128::from(self.num), i128::from(self.den)),
        }
    }
}
impl Sub for Fraction {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + -other
    }
}
impl Mul for Fraction {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        if self.is_short() && other.is_short() {
            return Self::reduce_short(self.num * other.num, self.den * other.den);
        }
        Self::reduce(i128::from(self.num) * i128::from(other.num), i128::from(self.den) * i128::from(other.den))
    }
}
impl fmt::Display for Fraction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.den == 1 { write!(f, "{}", self.num) } else { write!(f, "{}/{}", self.num, self.den) }
    }
}

/// How long something lasts, as a fraction of a whole note.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Duration(pub Fraction);

/// When something begins, as a fraction of a whole note from a stated origin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Onset(pub Fraction);

impl Duration {
    /// No time.
    pub const ZERO: Self = Self(Fraction::ZERO);
    /// `num / den` of a whole note.
    pub fn new(num: i64, den: i64) -> Self {
        Self(Fraction::new(num, den))
    }
    /// The duration times a factor.
    pub fn times(self, factor: Fraction) -> Self {
        Self(self.0 * factor)
    }
    /// How many of `unit` fit, exactly.
    pub fn over(self, unit: Self) -> Fraction {
        self.0.over(unit.0)
    }
    /// Whether it is no time.
    pub const fn is_zero(self) -> bool {
        self.0.is_zero()
    }
}
impl Onset {
    /// The origin.
    pub const ZERO: Self = Self(Fraction::ZERO);
    /// `num / den` of a whole note after the origin.
    pub fn new(num: i64, den: i64) -> Self {
        Self(Fraction::new(num, den))
    }
}
impl Add for Duration {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}
impl AddAssign for Duration {
    fn add_assign(&mut self, other: Self) {
        self.0 = self.0 + other.0;
    }
}
impl Sub for Duration {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}
impl std::iter::Sum for Duration {
    fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
        items.fold(Self::ZERO, |all, item| all + item)
    }
}
impl Add<Duration> for Onset {
    type Output = Self;
    fn add(self, length: Duration) -> Self {
        Self(self.0 + length.0)
    }
}
impl Sub for Onset {
    type Output = Duration;
    fn sub(self, earlier: Self) -> Duration {
        Duration(self.0 - earlier.0)
    }
}
impl fmt::Display for Duration {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}
impl fmt::Display for Onset {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// A metre as written.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Meter {
    /// No metre: bars have any length.
    Free,
    /// C: 4/4 drawn as the common-time sign.
    Common,
    /// C|: 2/2 drawn as the cut-time sign.
    Cut,
    /// Figures: the groups of the upper figure (one unless written as a sum, `2+2+3`) over the lower one.
    Figures {
        /// Parts of the upper figure, at least one.
        groups: Vec<u32>,
        /// The lower figure, at least 1.
        unit: u32,
    },
}

impl Meter {
    /// A plain metre, `beats` over `unit`.
    pub fn simple(beats: u32, unit: u32) -> Self {
        Self::Figures { groups: vec![beats], unit }
    }
    /// Upper figure (summed) and lower figure; C is 4/4, C| is 2/2; `None` for free metre.
    pub fn figures(&self) -> Option<(u32, u32)> {
        match self {
            Self::Free => None,
            Self::Common => Some((4, 4)),
            Self::Cut => Some((2, 2)),
            Self::Figures { groups, unit } => {
                Some((groups.iter().fold(0, |all: u32, g| all.saturating_add(*g)), *unit))
            }
        }
    }
    /// The length of a full bar; `None` for free metre.
    pub fn bar_length(&self) -> Option<Duration> {
        self.figures().map(|(beats, unit)| Duration::new(beats.into(), unit.into()))
    }
    /// Whether the beats are dotted: upper figure a multiple of three above three, written as one group. In 6/4 the beat is a dotted
    /// minim as it is a dotted crotchet in 6/8 (rudiments of music; common practice, no source); 6/2 counts in minims.
    pub fn is_compound(&self) -> bool {
        match self {
            Self::Figures { groups, unit } => groups.len() == 1 && groups[0] > 3 && groups[0] % 3 == 0 && *unit >= 4,
            _ => false,
        }
    }
    /// The length of one beat: the dotted value in compound metres, else the lower figure. A free metre counts in
    /// quarters.
    pub fn beat(&self) -> Duration {
        match self.figures() {
            Some((_, unit)) if self.is_compound() => Duration::new(3, unit.into()),
            Some((3, unit @ (8 | 16))) => Duration::new(3, unit.into()),
            Some((_, unit)) => Duration::new(1, unit.into()),
            None => Duration::new(1, 4),
        }
    }
}

impl fmt::Display for Meter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Free => f.write_str("none"),
            Self::Common => f.write_str("C"),
            Self::Cut => f.write_str("C|"),
            Self::Figures { groups, unit } => {
                let sum: Vec<_> = groups.iter().map(u32::to_string).collect();
                if sum.len() == 1 { write!(f, "{}/{unit}", sum[0]) } else { write!(f, "({})/{unit}", sum.join("+")) }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_triplets_fill_a_beat_exactly() {
        let triplet = Duration::new(1, 8).times(Fraction::new(2, 3));
        assert_eq!(triplet + triplet + triplet, Duration::new(1, 4));
        assert_eq!(triplet.to_string(), "1/12");
    }

    #[test]
    fn huge_fractions_do_not_panic() {
        // Halved to fit 64 bits, it is in lowest terms again, or equal fractions would differ.
        let odd = Fraction::new(i64::MAX - 24, 3) * Fraction::new(7, i64::MAX - 6);
        assert_eq!(gcd(odd.num().unsigned_abs().into(), odd.den().unsigned_abs().into()), 1, "{odd:?}");
        let huge = Fraction::new(i64::MAX, 3) * Fraction::new(i64::MAX, 7);
        assert!(huge > Fraction::ONE);
    }

    /// The short way gives what the long one does, whatever the signs and sizes.
    #[test]
    fn short_sums_are_long_sums() {
        let figures = [0, 1, -1, 2, 3, -6, 7, 64, (1 << 30) - 1, -(1 << 30), 1 << 31, i64::MAX];
        let all: Vec<Fraction> = figures
            .iter()
            .flat_map(|num| figures.iter().filter(|den| **den > 0).map(move |den| Fraction::new(*num, *den)))
            .collect();
        let long = |f: &Fraction| (i128::from(f.num), i128::from(f.den));
        for (one, other) in all.iter().flat_map(|one| all.iter().map(move |other| (one, other))) {
            let ((a, b), (c, d)) = (long(one), long(other));
            assert_eq!(*one + *other, Fraction::reduce(a * d + c * b, b * d), "{one} + {other}");
            assert_eq!(*one * *other, Fraction::reduce(a * c, b * d), "{one} * {other}");
            assert_eq!(one.cmp(other), (a * d).cmp(&(c * b)), "{one} and {other}");
            if c != 0 {
                assert_eq!(one.over(*other), Fraction::reduce(a * d, b * c), "{one} over {other}");
            }
        }
    }

    #[test]
    fn beats_follow_the_metre() {
        assert_eq!(Meter::simple(6, 8).beat(), Duration::new(3, 8));
        assert_eq!(Meter::simple(3, 4).beat(), Duration::new(1, 4));
        assert_eq!(Meter::simple(3, 16).beat(), Duration::new(3, 16));
        for (upper, unit) in [(6, 4), (9, 4), (12, 4), (6, 16)] {
            assert_eq!(Meter::simple(upper, unit).beat(), Duration::new(3, unit.into()), "{upper}/{unit}");
        }
        assert_eq!(Meter::simple(3, 2).beat(), Duration::new(1, 2));
        assert_eq!(Meter::Figures { groups: vec![2, 2, 3], unit: 8 }.bar_length(), Some(Duration::new(7, 8)));
    }
}
