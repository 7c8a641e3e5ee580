//! Sound out: one thread that plays prepared samples, and the sentence where there is no device.

#![allow(clippy::print_stderr, reason = "standard error is the log while sounds are played")]

use crate::ear::recordings::resampled;
use crate::ear::sound::{RATE, Sound};
use crate::ear::tap::{State, Tap};
use crate::ear::units::Decibels;
use cpal::traits::{DeviceTrait, HostTrait, StreamTrait};
use cpal::{Device, FromSample, I24, SampleFormat, SizedSample, StreamConfig};
use crossbeam_channel::{Receiver, RecvTimeoutError, Sender, unbounded};
use std::fmt;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::{Builder, JoinHandle};
use std::time::Duration;

/// Plays sounds one after another; dropping it ends the sound.
pub struct Speaker {
    orders: Option<Sender<Order>>,
    trouble: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

/// Why nothing can be heard, in words for a player.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoSpeaker(String);

impl fmt::Display for NoSpeaker {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "no sound can be played here: {}. `footlights ear render --out DIR` writes the sounds as files, which any \
             player plays.",
            self.0
        )
    }
}

/// What the thread is to do: end what sounds, and play this.
type Order = Arc<[f32]>;

/// How the device wants its samples.
#[derive(Clone, Copy)]
struct Form {
    config: StreamConfig,
    format: SampleFormat,
}

/// Silence between two sounds that follow each other.
const BETWEEN_S: f64 = 0.6;
/// Silence after the last, so that what the device still holds when we are done is nothing.
const AFTER_S: f64 = 0.5;
/// How often it is looked whether a sound is over; only while one sounds.
const LOOK: Duration = Duration::from_millis(20);

impl Speaker {
    /// Looks for a device and starts the thread, which sleeps until something is to be played.
    ///
    /// # Errors
    /// Where there is no device, or none that we know how to feed.
    pub fn open() -> Result<Speaker, NoSpeaker> {
        device()?;
        let (orders, ordered) = unbounded();
        let trouble = Arc::new(AtomicBool::new(false));
        let told = Arc::clone(&trouble);
        let thread = Builder::new()
            .name("sound".into())
            .spawn(move || serve(&ordered, &told))
            .map_err(|error| NoSpeaker(error.to_string()))?;
        Ok(Speaker {
            orders: Some(orders),
            trouble,
            thread: Some(thread),
        })
    }

    /// Ends what sounds, and plays these one after another, so much softer.
    pub fn play(&self, sounds: &[Sound], softer: Decibels) {
        let factor = Decibels::new(-softer.db()).amplitude();
        let mut samples: Vec<f32> = Vec::new();
        let Some(rate) = sounds.first().map(|sound| sound.rate) else {
            return;
        };
        for (at, sound) in sounds.iter().enumerate() {
            if at > 0 {
                samples.extend(silence(BETWEEN_S, rate));
            }
            samples.extend(sound.samples.iter().map(|sample| (sample * factor) as f32));
        }
        if let Some(orders) = &self.orders {
            // A thread that has ended has told its trouble.
            let _ = orders.send(samples.into());
        }
    }

    /// Whether the device failed since it was opened.
    pub fn has_failed(&self) -> bool {
        self.trouble.load(Ordering::Relaxed)
    }

    fn join(&mut self) {
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

impl Drop for Speaker {
    fn drop(&mut self) {
        if let Some(orders) = self.orders.take() {
            // Nothing to play: what sounds fades at once.
            let _ = orders.send(Arc::new([]));
        }
        self.join();
    }
}

fn silence(seconds: f64, rate: u32) -> impl Iterator<Item = f32> {
    std::iter::repeat_n(0.0, (seconds * f64::from(rate)) as usize)
}

/// Plays each order as it comes, until no more can come.
fn serve(orders: &Receiver<Order>, trouble: &AtomicBool) {
    let mut next = orders.recv().ok();
    while let Some(samples) = next.take() {
        if samples.is_empty() {
            next = orders.recv().ok();
            continue;
        }
        match play(&samples, orders) {
            Ok(order) => next = order,
            Err(words) => {
                eprintln!("{words}");
                trouble.store(true, Ordering::Relaxed);
            }
        }
        // The device is closed while nothing sounds.
        next = next.or_else(|| orders.recv().ok());
    }
}

/// Plays samples to their end, or until the next order, which is given back.
fn play(samples: &Order, orders: &Receiver<Order>) -> Result<Option<Order>, NoSpeaker> {
    let (device, form) = device()?;
    let rate = form.config.sample_rate;
    let sound = Sound {
        rate: RATE,
        samples: samples.iter().map(|sample| f64::from(*sample)).collect(),
    };
    let mut prepared: Vec<f32> = resampled(&sound, rate)
        .samples
        .iter()
        .map(|sample| *sample as f32)
        .collect();
    prepared.extend(silence(AFTER_S, rate));
    // Held here until the stream is gone, so that the device's thread frees nothing.
    let prepared: Arc<[f32]> = prepared.into();
    let state = Arc::new(State::default());
    let tap = Tap::new(Arc::clone(&prepared), Arc::clone(&state), rate);
    let stream = stream(&device, form, tap, Arc::clone(&state))?;
    stream.play().map_err(|error| NoSpeaker(error.to_string()))?;
    let mut next = None;
    let mut ended = false;
    while !state.done.load(Ordering::Acquire) {
        if ended {
            std::thread::sleep(LOOK);
            continue;
        }
        match orders.recv_timeout(LOOK) {
            Ok(order) => {
                next = Some(order);
                state.stop.store(true, Ordering::Release);
                ended = true;
            }
            Err(RecvTimeoutError::Timeout) => {}
            // Nobody orders any more; what sounds may end.
            Err(RecvTimeoutError::Disconnected) => ended = true,
        }
    }
    // What came meanwhile takes the place of what was to come.
    Ok(orders.try_iter().last().or(next))
}

/// The device that the system plays on, and how it is fed.
fn device() -> Result<(Device, Form), NoSpeaker> {
    let none = |error: cpal::Error| NoSpeaker(format!("no sound device answers ({error})"));
    let device = cpal::default_host()
        .default_output_device()
        .ok_or_else(|| NoSpeaker("there is no sound device".into()))?;
    let usual = device.default_output_config().map_err(none)?;
    // Our own rate where the device takes it, else we turn the samples into its.
    let ours = device.supported_output_configs().map_err(none)?.find_map(|range| {
        let alike = range.channels() == usual.channels() && range.sample_format() == usual.sample_format();
        alike.then(|| range.try_with_sample_rate(RATE)).flatten()
    });
    let chosen = ours.unwrap_or(usual);
    let form = Form {
        config: chosen.config(),
        format: chosen.sample_format(),
    };
    Ok((device, form))
}

fn stream(device: &Device, form: Form, tap: Tap, state: Arc<State>) -> Result<cpal::Stream, NoSpeaker> {
    match form.format {
        SampleFormat::F32 => build::<f32>(device, form.config, tap, state),
        SampleFormat::F64 => build::<f64>(device, form.config, tap, state),
        SampleFormat::I8 => build::<i8>(device, form.config, tap, state),
        SampleFormat::I16 => build::<i16>(device, form.config, tap, state),
        SampleFormat::I24 => build::<I24>(device, form.config, tap, state),
        SampleFormat::I32 => build::<i32>(device, form.config, tap, state),
        SampleFormat::U8 => build::<u8>(device, form.config, tap, state),
        SampleFormat::U16 => build::<u16>(device, form.config, tap, state),
        SampleFormat::U32 => build::<u32>(device, form.config, tap, state),
        format => Err(NoSpeaker(format!(
            "the device wants samples as {format}, which we cannot give"
        ))),
    }
}

fn build<T: SizedSample + FromSample<f32>>(
    device: &Device,
    config: StreamConfig,
    mut tap: Tap,
    state: Arc<State>,
) -> Result<cpal::Stream, NoSpeaker> {
    let channels = usize::from(config.channels);
    let fill = move |buffer: &mut [T], _: &cpal::OutputCallbackInfo| tap.fill(buffer, channels);
    let failed = move |error: cpal::Error| {
        use cpal::ErrorKind::{DeviceChanged, RealtimeDenied, Xrun};
        // These go by themselves; whatever else happens, no more will sound.
        if !matches!(error.kind(), DeviceChanged | RealtimeDenied | Xrun) {
            state.done.store(true, Ordering::Release);
        }
    };
    device
        .build_output_stream(config, fill, failed, None)
        .map_err(|error| NoSpeaker(error.to_string()))
}
