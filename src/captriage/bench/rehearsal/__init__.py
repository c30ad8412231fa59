"""A bench without hardware: simulated meters on real wires, and a drawer of invented parts."""
