"""What is printed: the packet, labels, measuring sheets."""
