"""The fan headers: which header controls which chain."""
