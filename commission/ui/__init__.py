"""The screens: thin, and the only place beside the plots of the stages that knows Textual."""
