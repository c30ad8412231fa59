"""The bench: meter profiles, the wire, capture, logging, and a rehearsal bench without hardware."""
