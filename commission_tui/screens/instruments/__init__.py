"""The instruments of a job: choosing, adding and correcting one. The walk and the wall open its forms."""
