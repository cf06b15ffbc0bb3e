"""Which drive units and horns, and do their figures agree?"""
