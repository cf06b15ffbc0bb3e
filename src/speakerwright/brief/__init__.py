"""What must it do, where, for whom, for how much? The level and drive that follow."""
