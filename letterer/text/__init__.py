"""Words to shaped runs: faces and fallback, the trade's capitals, break opportunities, shaping."""
