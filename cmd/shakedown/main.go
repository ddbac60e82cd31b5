// Command shakedown reads a build sheet and says what a machine does with the parts of a build: figures with ranges,
// what does not go together, what it costs, when it is ready, and a report that another owner could read.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"github.com/alecthomas/kong"

	"shakedown/internal/app"
	"shakedown/internal/app/asked"
	"shakedown/internal/faults"
	"shakedown/quantity"
	"shakedown/report"
)

// version is set by the linker for a release; see Makefile.
var version = "0.1.0"

// verb is one thing that the program does: the word that is typed, what it is for, and what its arguments and flags
// fill.
type verb struct {
	name, help string
	fills      any
}

func verbs() []verb {
	return []verb{
		{"new", "Begin a sheet: answer what you can, the rest is typical.", &newCommand{}},
		{"check", "Say what does not go together, what it costs and when it is ready.", &checkCommand{}},
		{"figures", "Print the figures of a build against the baseline, with ranges.", &figuresCommand{}},
		{"curve", "Compute the torque curve of a build from the flow of its gases.", &curveCommand{}},
		{"cycle", "Look at one cycle of a build: pressures, valves and the waves in the pipes.", &cycleCommand{}},
		{"lap", "Ride a lap of the course: time, sections and what limits in each.", &lapCommand{}},
		{"value", "Say what each part gives for its money on the course, and what to buy next.", &valueCommand{}},
		{"standing-start", "Say how to leave the line: gear, engine speed, clutch, and the time to the first corner.", &standingStartCommand{}},
		{"tip-over", "Say whether it slides before it tips over, on each ground.", &tipOverCommand{}},
		{"gearing", "Ride a lap with every pair of sprockets that is sold and fits.", &gearingCommand{}},
		{"compare", "Set any number of builds side by side.", &compareCommand{}},
		{"report", "Write the report as one HTML file.", &reportCommand{}},
		{"serve", "Open the pages in the browser, over a workshop file.", &serveCommand{}},
		{"import", "Put sheets, or an export, into a workshop file.", &importCommand{}},
		{"export", "Write a workshop's machines with their histories as one zip file.", &exportCommand{}},
		{"backup", "Copy a workshop file while it is in use.", &backupCommand{}},
		{"add-parts", "Add the parts of a spreadsheet's list to a sheet.", &addPartsCommand{}},
		{"schema", "Print the JSON Schema of a sheet, for editors.", &schemaCommand{}},
		{"help", "Print the tolerances, units, figures, rules, inputs, claims, grounds, or how to measure.", &helpCommand{}},
		{"man", "Print the manual page.", &manCommand{}},
		{"completion", "Print what a shell completes.", &completionCommand{}},
		{"version", "Print version, commit and Go.", &versionCommand{}},
	}
}

// overAll are the commands that tell of all the others.
var overAll = []string{"help", "man", "completion"}

// grammar is what is read of the arguments. To lay out the flags of every command takes longer than to start the
// program, so a command that is named is laid out alone; help, and what is no command, need all.
func grammar(args []string) (options []kong.Option) {
	all := verbs()
	if len(args) > 0 && !slices.Contains(overAll, args[0]) {
		if i := slices.IndexFunc(all, func(c verb) bool { return c.name == args[0] }); i >= 0 {
			all = all[i : i+1]
		}
	}
	for _, c := range all {
		options = append(options, kong.DynamicCommand(c.name, c.help, "", c.fills))
	}
	return options
}

const description = `Shakedown turns a build sheet into figures with ranges, conflicts, cost, dates and a report.

Try it on the invented example:

  shakedown check examples/fenmoor-t285.yaml
  shakedown figures examples/fenmoor-t285.yaml --build club
  shakedown figures examples/fenmoor-t285.yaml --explain chassis.tip_lateral
  shakedown curve examples/fenmoor-t285.yaml --build full --against as-found
  shakedown report examples/fenmoor-t285.yaml --out report.html

and begin a sheet of your own:

  shakedown new mine.yaml

or work on pages in the browser, where every change is saved as it is made:

  shakedown serve

Exit codes: 0 fine, 1 conflicts found, 2 bad input, 3 something could not be computed, 130 interrupted with ctrl-C.`

// streams are where a run reads and writes; tests pass their own.
type streams struct {
	in       io.Reader
	asks     bool // somebody is there to answer
	out, err io.Writer
	now      time.Time
	colour   bool
	watched  bool // somebody watches err: progress is told
	results  *app.Results
	stop     *interrupt
}

func main() {
	debug.SetGCPercent(400) // a run is over in milliseconds: collecting four times less often takes a fifth off it
	s := streams{in: os.Stdin, asks: isTerminal(os.Stdin), out: forTerminal(os.Stdout), err: forTerminal(os.Stderr), now: time.Now(), colour: colourWanted(os.Stdout), watched: isTerminal(os.Stderr), results: app.NewResults()}
	os.Exit(run(os.Args[1:], s))
}

// renamed has the commands that once had another name: old to new.
var renamed = map[string]string{"start": "standing-start", "tips": "tip-over"}

// run is the whole program; it gives the exit code.
func run(args []string, s streams) (code int) {
	if len(args) > 0 && renamed[args[0]] != "" {
		fmt.Fprintf(s.err, "shakedown %s is now called: shakedown %s\n", args[0], renamed[args[0]])
		return asked.BadInput
	}
	s.stop = &interrupt{}
	defer s.stop.over()
	exited := -1
	options := append(grammar(args), kong.Name("shakedown"), kong.Description(description), kong.Writers(s.out, s.err),
		kong.Exit(func(c int) { exited = c; panic(exit{}) }), kong.ConfigureHelp(kong.HelpOptions{Compact: true}))
	parser, err := kong.New(&struct{}{}, options...)
	if err != nil {
		panic(err)
	}
	defer func() {
		if r := recover(); r != nil {
			if _, ok := r.(exit); !ok {
				panic(r)
			}
			code = exited
		}
	}()
	context, err := parser.Parse(args)
	if err != nil {
		fmt.Fprintf(s.err, "%v\nTry: shakedown --help\n", err)
		return asked.BadInput
	}
	result := asked.Fine
	err = faults.Catch(func() error { return context.Run(&s, &result, parser) })
	if fault, ok := errors.AsType[*faults.Fault](err); ok {
		if left, ok := fault.Value.(exit); ok {
			panic(left)
		}
		fmt.Fprintf(s.err, "%v:\n\n%s\n", fault, fault.Trace)
		return asked.CannotCompute
	}
	if s.stop.came.Load() && (err != nil || result == asked.CannotCompute) {
		fmt.Fprintln(s.err, "Interrupted before it was done. No file was left half written.")
		return asked.Interrupted
	}
	if err != nil {
		fmt.Fprintln(s.err, strings.TrimRight(err.Error(), "\n"))
		return asked.ExitOf(err)
	}
	return result
}

// exit carries kong's wish to leave, after help, out of the parser.
type exit struct{}

// known is where results are held; wide also has how sure the torque is worked out.
func (s *streams) known(wide bool) *app.Results {
	if wide {
		return s.results.Wide()
	}
	return s.results
}

// asking is what all questions about a sheet have in common.
type asking struct {
	Sheet   string `arg:"" help:"Build sheet: a file, or a folder of files that are merged."`
	Build   string `help:"Build to look at; the last in the sheet unless said." placeholder:"NAME"`
	Against string `help:"Baseline to compare against; the first in the sheet unless said." placeholder:"NAME"`
	JSON    bool   `name:"json" help:"Print one JSON object with SI values."`
	Units   string `help:"Units for people: metric or us." enum:"metric,us" default:"metric"`
	Today   string `help:"Day from which the plan counts, such as 2027-05-03." placeholder:"DATE"`
}

func (q asking) ask(s *streams) (*asked.Answer, error) {
	question, err := q.question(s)
	if err != nil {
		return nil, err
	}
	return asked.Ask(question)
}

// askWithCurves is ask with the rules that go by the torque curve; it takes a second.
func (q asking) askWithCurves(s *streams) (*asked.Answer, error) {
	question, err := q.question(s)
	if err != nil {
		return nil, err
	}
	ctx := s.interruptible()
	question.Slow = app.Slow(ctx, s.results)
	a, err := asked.Ask(question)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	return a, err
}

func (q asking) question(s *streams) (asked.Question, error) {
	question := asked.Question{Path: q.Sheet, Build: q.Build, Against: q.Against, System: q.system(), Now: s.now}
	if q.Today != "" {
		day, err := time.Parse(time.DateOnly, q.Today)
		if err != nil {
			return question, faults.Mendable(fmt.Errorf("--today %q is no date; write year-month-day, such as 2027-05-03", q.Today))
		}
		question.Today = day
	}
	return question, nil
}

func (q asking) system() quantity.System {
	if q.Units == "us" {
		return quantity.US
	}
	return quantity.Metric
}

// style is how severities are marked on this output.
func (s *streams) style() report.Styler {
	if s.colour {
		return report.Coloured
	}
	return report.Plain
}

// isTerminal says that a person is at the other end.
func isTerminal(f *os.File) bool {
	info, err := f.Stat()
	nowhere, _ := os.Stat(os.DevNull)
	return err == nil && info.Mode()&os.ModeCharDevice != 0 && !os.SameFile(info, nowhere)
}

// colourWanted says whether the output is a terminal whose owner has not asked for no colour (no-color.org).
func colourWanted(f *os.File) bool {
	return isTerminal(f) && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
}
