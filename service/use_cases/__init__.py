"""What a caller may ask: one plain function a use case, one transaction each."""
