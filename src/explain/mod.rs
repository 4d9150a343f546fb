//! The worked sum: findings as text with the user's own numbers.
