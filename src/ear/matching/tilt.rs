//! The tilt of a note's levels, which says nothing of the pickup's place, and what is left without it.

/// What a quadratic in ln n can be: tone control, pick and amplifier tilt levels, and none of that counts.
pub(super) struct Basis([Vec<f64>; 3]);

impl Basis {
    /// Three directions, each at right angles to the others.
    pub(super) fn new(count: usize) -> Basis {
        let powers = [0, 1, 2].map(|power| (1..=count).map(|n| (n as f64).ln().powi(power)).collect());
        let mut made: [Vec<f64>; 3] = Default::default();
        for (at, power) in powers.into_iter().enumerate() {
            let mut rest: Vec<f64> = power;
            made[..at].iter().for_each(|direction| take_off(&mut rest, direction));
            let len = dot(&rest, &rest).sqrt();
            rest.iter_mut().for_each(|value| *value /= len);
            made[at] = rest;
        }
        Basis(made)
    }

    /// How many values it is for.
    pub(super) fn len(&self) -> usize {
        self.0[0].len()
    }

    /// What is left of values after the best quadratic.
    pub(super) fn without(&self, mut values: Vec<f64>) -> Vec<f64> {
        self.0.iter().for_each(|direction| take_off(&mut values, direction));
        values
    }
}

fn take_off(values: &mut [f64], direction: &[f64]) {
    let along = dot(values, direction);
    values
        .iter_mut()
        .zip(direction)
        .for_each(|(value, part)| *value -= along * part);
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quadratic_in_ln_n_does_not_count() {
        let tilted: Vec<f64> = (1..=20)
            .map(|n| f64::from(n).ln())
            .map(|x| 3.0 - 2.0 * x + 0.7 * x * x)
            .collect();
        let left = Basis::new(20).without(tilted);
        assert!(left.iter().all(|left| left.abs() < 1e-9), "{left:?}");
    }
}
