//! The device's side of the sound: what its callback does, which is to read prepared samples.

use cpal::{FromSample, SizedSample};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// A sound that is ended early fades so long, in seconds.
const FADE_S: f32 = 0.01;

/// What the two threads tell each other.
#[derive(Default)]
pub(super) struct State {
    /// Ours: fade, and be done.
    pub(super) stop: AtomicBool,
    /// The device's: nothing more will sound.
    pub(super) done: AtomicBool,
}

/// The device's side. Everything is prepared before the stream starts: the callback reads samples and flags, and
/// allocates, frees and waits for nothing. The samples are freed by the sound thread, which holds them too.
pub(super) struct Tap {
    samples: Arc<[f32]>,
    at: usize,
    state: Arc<State>,
    gain: f32,
    /// What a sample takes off the gain once it is to stop.
    fade: f32,
}

impl Tap {
    pub(super) fn new(samples: Arc<[f32]>, state: Arc<State>, rate: u32) -> Tap {
        Tap {
            samples,
            at: 0,
            state,
            gain: 1.0,
            fade: 1.0 / (FADE_S * rate as f32),
        }
    }

    /// Fills a buffer of frames, each channel alike.
    pub(super) fn fill<T: SizedSample + FromSample<f32>>(&mut self, buffer: &mut [T], channels: usize) {
        let stop = self.state.stop.load(Ordering::Acquire);
        for frame in buffer.chunks_mut(channels.max(1)) {
            let sample = self.samples.get(self.at).copied().unwrap_or(0.0);
            self.at = self.at.saturating_add(1);
            if stop {
                self.gain = (self.gain - self.fade).max(0.0);
            }
            frame.fill(T::from_sample(sample * self.gain));
        }
        if self.at >= self.samples.len() || self.gain <= 0.0 {
            self.state.done.store(true, Ordering::Release);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use allocation_counter::measure;
    use cpal::I24;

    fn tap(len: usize) -> (Tap, Arc<State>) {
        let state = Arc::new(State::default());
        (Tap::new(vec![0.5; len].into(), Arc::clone(&state), 1000), state)
    }

    #[test]
    fn every_channel_gets_every_sample_once_and_then_silence() {
        let (mut tap, state) = tap(3);
        let mut buffer = [9.0_f32; 4];
        tap.fill(&mut buffer, 2);
        assert_eq!((buffer, state.done.load(Ordering::Acquire)), ([0.5; 4], false));
        tap.fill(&mut buffer, 2);
        assert_eq!(
            (buffer, state.done.load(Ordering::Acquire)),
            ([0.5, 0.5, 0.0, 0.0], true)
        );
        let mut sixteen = [9_i16; 2];
        tap.fill(&mut sixteen, 1);
        assert_eq!(sixteen, [0; 2]);
    }

    /// Ten milliseconds at a thousand samples a second.
    #[test]
    fn a_sound_that_is_stopped_fades_without_a_step() {
        let (mut tap, state) = tap(100);
        state.stop.store(true, Ordering::Release);
        let mut buffer = [9.0_f32; 12];
        tap.fill(&mut buffer, 1);
        assert!(
            buffer
                .windows(2)
                .all(|pair| pair[0] - pair[1] <= 0.051 && pair[1] <= pair[0]),
            "{buffer:?}"
        );
        assert!(buffer[11] == 0.0 && state.done.load(Ordering::Acquire));
    }

    /// Counted by a global allocator of allocation-counter 0.8.1, which counts each thread by itself.
    #[test]
    fn the_callback_neither_allocates_nor_frees_from_the_first_sample_to_the_last() {
        fn plays<T: SizedSample + FromSample<f32>>(stop_early: bool) {
            let (mut tap, state) = tap(1000);
            let mut buffer = vec![T::EQUILIBRIUM; 128];
            let counted = measure(|| {
                while !state.done.load(Ordering::Acquire) {
                    tap.fill(&mut buffer, 2);
                    state.stop.store(stop_early, Ordering::Release);
                }
            });
            let what = format!("{} stopped early: {stop_early}", std::any::type_name::<T>());
            assert_eq!((counted.count_total, counted.count_current), (0, 0), "{what}");
        }
        for stop_early in [false, true] {
            plays::<f32>(stop_early);
            plays::<f64>(stop_early);
            plays::<i16>(stop_early);
            plays::<I24>(stop_early);
            plays::<i32>(stop_early);
            plays::<u8>(stop_early);
            plays::<u16>(stop_early);
        }
        // And it does count.
        assert_eq!(measure(|| drop(vec![0_u8; 8])).count_total, 1);
    }

    /// The samples are still held by the sound thread when the device lets go of its own: nothing is freed over there.
    #[test]
    fn the_callback_holds_no_more_than_a_share_of_the_samples() {
        let samples: Arc<[f32]> = vec![0.0; 8].into();
        let tap = Tap::new(Arc::clone(&samples), Arc::new(State::default()), 1000);
        drop(tap);
        assert_eq!(Arc::strong_count(&samples), 1);
    }
}
