//! Mean and spread of plain numbers.

/// The mean; `None` of nothing.
pub(crate) fn mean(values: &[f64]) -> Option<f64> {
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}

/// The population standard deviation; `None` of nothing.
pub(crate) fn spread(values: &[f64]) -> Option<f64> {
    let middle = mean(values)?;
    let squares: f64 = values.iter().map(|value| (value - middle).powi(2)).sum();
    Some((squares / values.len() as f64).sqrt())
}
