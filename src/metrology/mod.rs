//! What a reading is worth: readings, uncertainty, conformity decision, Monte Carlo, regression.
