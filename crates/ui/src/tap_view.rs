//! Taps to a click and to a light, as the page of the sound's delay shows them.

/// Where the taps stand.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct TapView {
    /// The row that is being tapped.
    pub tapping: Option<Tapping>,
    /// What the row to the click said, or why it said too little.
    pub click: Option<String>,
    /// What both rows said together, or why the second said too little.
    pub told: Option<String>,
    /// The row to the click can be used.
    pub has_click: bool,
    /// How much later than it is asked for its sound leaves the device, as the device says, in milliseconds; nought where it
    /// does not say, `None` without a device.
    pub device_says_ms: Option<f64>,
    /// What may be set as the delay of the sound, in milliseconds.
    pub suggested_ms: Option<f64>,
}

/// A row under way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tapping {
    /// What is tapped to.
    pub to: TapTo,
    /// Beats that have come, lead-in included.
    pub beat: usize,
    /// Of how many.
    pub of: usize,
    /// Whether the light is on.
    pub lit: bool,
}

/// What is tapped to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TapTo {
    /// A click that is heard.
    Click,
    /// A light that is seen.
    Light,
}

/// What can be asked of the page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TapDeed {
    /// Begin a row.
    Start(TapTo),
    /// A tap on the computer keyboard.
    Tap,
    /// End the row that is being tapped.
    Stop,
    /// Set the delay of the sound, in milliseconds: what the player agreed to.
    SetDelay(f64),
}
