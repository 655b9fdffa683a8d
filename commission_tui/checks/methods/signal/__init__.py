"""Methods for data and pictures on their way: chains, inputs, failures, latency."""
