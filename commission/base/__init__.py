"""What everything else stands on: errors, quantities, clean text, clocks, verdicts; imports nothing of ours."""
