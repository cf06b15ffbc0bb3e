"""What is it built of, and does everything fit? So far: the clear space that sheets leave."""
