//! One-time keys: every form carries one, and what is sent under a key is
//! written once.

/// A key no other form has: 128 random bits. Empty when the system has none to
/// give; such a form is held to the rule for those without a key.
#[must_use]
pub fn fresh() -> String {
    let mut bits = [0u8; 16];
    match getrandom::fill(&mut bits) {
        Ok(()) => bits.iter().map(|b| format!("{b:02x}")).collect(),
        Err(_) => String::new(),
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn no_two_are_the_same() {
        let keys: std::collections::BTreeSet<String> = (0..1000).map(|_| super::fresh()).collect();
        assert_eq!(keys.len(), 1000);
        assert!(keys.iter().all(|k| k.len() == 32));
    }
}
