package main

import (
	"fmt"
	"strings"

	"github.com/alecthomas/kong"

	"shakedown/internal/app"
	"shakedown/report"
)

type helpCommand struct {
	Topic string `arg:"" optional:"" help:"tolerances, units, figures, rules, inputs, claims, measuring, grounds or catalogue."`
}

// Run prints one of the tables that the program goes by.
func (c helpCommand) Run(s *streams, _ *int) error {
	if c.Topic == "" {
		_, err := fmt.Fprintf(s.out, "%s\n\nshakedown help %s prints a table; shakedown COMMAND --help explains a command.\n", description, strings.Join(app.TopicNames, "|"))
		return err
	}
	topic, err := app.HelpTopic(c.Topic)
	if err != nil {
		return err
	}
	if err := report.WriteParagraph(s.out, topic.Words); err != nil {
		return err
	}
	fmt.Fprintln(s.out)
	return report.WriteTable(s.out, topic.Heads, topic.Rows)
}

type manCommand struct{}

// Help is the example shown by shakedown man --help.
func (manCommand) Help() string {
	return `Example:

  shakedown man > shakedown.1 && man ./shakedown.1`
}

// Run prints the manual page.
func (manCommand) Run(s *streams, k *kong.Kong) error {
	var b strings.Builder
	escape := func(text string) string {
		text = strings.ReplaceAll(strings.ReplaceAll(text, `\`, `\e`), "-", `\-`)
		if strings.HasPrefix(text, ".") || strings.HasPrefix(text, "'") {
			text = `\&` + text
		}
		return text
	}
	fmt.Fprintf(&b, ".TH SHAKEDOWN 1 \"\" \"shakedown %s\"\n.SH NAME\nshakedown \\- what a machine does with the parts of a build\n.SH SYNOPSIS\n.B shakedown\n.I command sheet\n[flags]\n.SH DESCRIPTION\n", version)
	literal := func(text string) {
		b.WriteString(".nf\n")
		for line := range strings.Lines(text) {
			b.WriteString(escape(strings.TrimSuffix(line, "\n")) + "\n")
		}
		b.WriteString(".fi\n")
	}
	literal(description)
	b.WriteString(".SH COMMANDS\n")
	for _, command := range k.Model.Children {
		fmt.Fprintf(&b, ".SS %s\n%s\n", escape(usage(command)), escape(command.Help))
		for _, flag := range command.Flags {
			if flag.Name == "help" {
				continue
			}
			fmt.Fprintf(&b, ".TP\n.B %s\n%s\n", escape(flagForm(flag)), escape(flag.Help))
		}
		if command.Detail != "" {
			b.WriteString(".PP\n")
			literal(command.Detail)
		}
	}
	b.WriteString(".SH EXIT STATUS\n0 fine, 1 conflicts found, 2 bad input, 3 something could not be computed, 130 interrupted with ctrl\\-C.\n.SH ENVIRONMENT\n.TP\n.B NO_COLOR\nno colours, also on a terminal\n")
	_, err := s.out.Write([]byte(b.String()))
	return err
}

func usage(command *kong.Node) string {
	text := command.Name
	for _, argument := range command.Positional {
		text += " " + strings.ToUpper(argument.Name)
	}
	return text
}

func flagForm(flag *kong.Flag) string {
	if flag.IsBool() {
		return "--" + flag.Name
	}
	return "--" + flag.Name + "=" + flag.FormatPlaceHolder()
}

type completionCommand struct {
	Shell string `arg:"" enum:"bash,zsh,fish" help:"bash, zsh or fish."`
}

// Help is the example shown by shakedown completion --help.
func (completionCommand) Help() string {
	return `Example:

  source <(shakedown completion bash)
  shakedown completion fish > ~/.config/fish/completions/shakedown.fish`
}

// Run prints the words that a shell completes.
func (c completionCommand) Run(s *streams, k *kong.Kong) error {
	var b strings.Builder
	if c.Shell == "fish" {
		for _, command := range k.Model.Children {
			fmt.Fprintf(&b, "complete -c shakedown -n __fish_use_subcommand -a %s -d %s\n", command.Name, quoted(command.Help))
			for _, flag := range command.Flags {
				fmt.Fprintf(&b, "complete -c shakedown -n '__fish_seen_subcommand_from %s' -l %s -d %s\n", command.Name, flag.Name, quoted(flag.Help))
			}
		}
		_, err := s.out.Write([]byte(b.String()))
		return err
	}
	if c.Shell == "zsh" {
		b.WriteString("autoload -U +X bashcompinit && bashcompinit\n")
	}
	var commands []string
	for _, command := range k.Model.Children {
		commands = append(commands, command.Name)
	}
	fmt.Fprintf(&b, "_shakedown() {\n  local cur=${COMP_WORDS[COMP_CWORD]} words=\n  case ${COMP_WORDS[1]} in\n")
	for _, command := range k.Model.Children {
		var words []string
		for _, flag := range command.Flags {
			words = append(words, "--"+flag.Name)
		}
		switch command.Name {
		case "help":
			words = append(words, app.TopicNames...)
		case "completion":
			words = append(words, "bash", "zsh", "fish")
		}
		fmt.Fprintf(&b, "    %s) words=%s ;;\n", command.Name, quoted(strings.Join(words, " ")))
	}
	fmt.Fprintf(&b, "  esac\n  [ \"$COMP_CWORD\" = 1 ] && words=%s\n  COMPREPLY=($(compgen -W \"$words\" -- \"$cur\"))\n}\ncomplete -o default -F _shakedown shakedown\n", quoted(strings.Join(commands, " ")))
	_, err := s.out.Write([]byte(b.String()))
	return err
}

// quoted puts a text in single quotes for a shell.
func quoted(text string) string { return "'" + strings.ReplaceAll(text, "'", `'\''`) + "'" }
