package main

import (
	"context"
	"fmt"
	"log/slog"
	"net"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"runtime"
	"syscall"
	"time"

	"shakedown/internal/app"
	"shakedown/internal/faults"
	"shakedown/internal/web"
	"shakedown/internal/workshop"
)

// workshopFile is where the machines are kept.
type workshopFile struct {
	Workshop string `help:"Workshop file; one in your data folder unless said." placeholder:"FILE" type:"path"`
}

// path is the file named, or the one in the user's data folder.
func (f workshopFile) path() (string, error) {
	if f.Workshop != "" {
		return f.Workshop, nil
	}
	folder, err := dataFolder()
	if err != nil {
		return "", faults.Mendable(fmt.Errorf("there is no folder for your data: %w; name a file with --workshop", err))
	}
	return filepath.Join(folder, "shakedown", "workshop.shakedown"), nil
}

// dataFolder is where programs keep what their user made.
func dataFolder() (string, error) {
	if folder := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(folder) {
		return folder, nil
	}
	if runtime.GOOS == "windows" || runtime.GOOS == "darwin" {
		return os.UserConfigDir() // AppData and Application Support hold data too
	}
	home, err := os.UserHomeDir()
	return filepath.Join(home, ".local", "share"), err
}

func (f workshopFile) open(ctx context.Context) (*app.Workshop, error) {
	path, err := f.path()
	if err != nil {
		return nil, err
	}
	return app.OpenWorkshop(ctx, path, time.Now)
}

type serveCommand struct {
	workshopFile
	Listen    string `help:"Address of this machine to listen at; port 0 takes a free one." default:"127.0.0.1:0"`
	NoBrowser bool   `help:"Do not open a browser; print the address only."`
	LogLevel  string `help:"What to write to stderr: debug, info, warn or error." enum:"debug,info,warn,error" default:"warn"`
}

// Help is the example shown by shakedown serve --help.
func (serveCommand) Help() string {
	return `Examples:

  shakedown serve
  shakedown serve --workshop ~/bench/fenmoor.shakedown --listen 127.0.0.1:4700

opens the pages in the browser, over one workshop file. Only this machine can reach them. Every change is saved as it is made;
ctrl-C stops it. The sheet comes out again, byte for byte, under Sheet.`
}

// Run serves the pages until it is interrupted.
func (c serveCommand) Run(s *streams, _ *int) error {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	var level slog.Level
	if err := level.UnmarshalText([]byte(c.LogLevel)); err != nil {
		return faults.Mendable(err)
	}
	log := slog.New(slog.NewTextHandler(s.err, &slog.HandlerOptions{Level: level}))
	if err := web.Loopback(c.Listen); err != nil {
		return faults.Mendable(err)
	}
	l, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return faults.Mendable(fmt.Errorf("%s cannot be listened at: %w; give another with --listen, or 127.0.0.1:0 for a free one", c.Listen, err))
	}
	defer l.Close() // of a workshop that does not open; the server closes it else
	w, err := c.open(ctx)
	if err != nil {
		return err
	}
	defer func() {
		if err := w.Close(); err != nil {
			log.Error("the workshop file did not close well; what was saved is in it", "error", err)
		}
	}()
	address := "http://" + l.Addr().String() + "/"
	if _, err := fmt.Fprintln(s.out, address); err != nil {
		return err
	}
	if !c.NoBrowser {
		if err := openBrowser(address); err != nil {
			log.Warn("no browser could be opened; open the address yourself", "address", address, "error", err)
		}
	}
	go copyDaily(ctx, w, log)
	server := &web.Server{Workshop: w, Program: programName(), Log: log}
	return server.Serve(ctx, l)
}

// copyDaily keeps a copy of each day on which the pages are served.
func copyDaily(ctx context.Context, w *app.Workshop, log *slog.Logger) {
	hour := time.NewTicker(time.Hour)
	defer hour.Stop()
	for {
		switch name, err := w.CopyDaily(ctx); {
		case ctx.Err() != nil:
			return
		case err != nil:
			log.Warn("no copy of today was kept", "error", err)
		case name != "":
			log.Info("a copy of today is kept", "file", name)
		}
		select {
		case <-ctx.Done():
			return
		case <-hour.C:
		}
	}
}

// openBrowser asks the desktop to open an address.
func openBrowser(address string) error {
	switch runtime.GOOS {
	case "windows":
		return exec.Command("rundll32", "url.dll,FileProtocolHandler", address).Start()
	case "darwin":
		return exec.Command("open", address).Start()
	}
	return exec.Command("xdg-open", address).Start()
}

type backupCommand struct {
	workshopFile
	File string `arg:"" help:"Where to write the copy; a name that is free." type:"path"`
}

// Help is the example shown by shakedown backup --help.
func (backupCommand) Help() string {
	return `Example:

  shakedown backup /media/stick/workshop-2027-05-03.shakedown

writes a consistent copy of the workshop file, also while shakedown serve has it open, or when it cannot be written. The copy is
a workshop file itself.`
}

// Run copies the workshop file.
func (c backupCommand) Run(s *streams, _ *int) error {
	ctx := s.interruptible()
	w, err := c.existing(ctx)
	if err != nil {
		return err
	}
	defer w.Close()
	if err := w.Backup(ctx, c.File); err != nil {
		return err
	}
	_, err = fmt.Fprintln(s.out, c.File)
	return err
}

// existing opens a workshop file that must be there, to read it.
func (f workshopFile) existing(ctx context.Context) (*app.Workshop, error) {
	path, err := f.path()
	if err != nil {
		return nil, err
	}
	if _, err := os.Stat(path); err != nil {
		return nil, faults.Mendable(fmt.Errorf("there is no workshop file %s; begin one with shakedown serve, or name another with --workshop", path))
	}
	return app.ReadWorkshop(ctx, path, time.Now)
}

type exportCommand struct {
	workshopFile
	File string `arg:"" help:"Zip file to write." type:"path"`
}

// Help is the example shown by shakedown export --help.
func (exportCommand) Help() string {
	return `Example:

  shakedown export workshop.zip

writes every machine with its whole history: the sheets as they were typed, byte for byte, under sheets and texts.`
}

// Run writes the machines of a workshop as one zip file.
func (c exportCommand) Run(s *streams, _ *int) error {
	ctx := s.interruptible()
	w, err := c.existing(ctx)
	if err != nil {
		return err
	}
	defer w.Close()
	if err := replaceFile(c.File, func(f *os.File) error {
		return w.Export(ctx, f, programName())
	}); err != nil {
		return err
	}
	_, err = fmt.Fprintln(s.out, c.File)
	return err
}

type importCommand struct {
	workshopFile
	Files []string `arg:"" help:"Sheets, or zip files of shakedown export." type:"path"`
}

// Help is the example shown by shakedown import --help.
func (importCommand) Help() string {
	return `Examples:

  shakedown import examples/fenmoor-t285.yaml
  shakedown import workshop.zip --workshop other.shakedown

puts machines into the workshop file. Nothing in it is written over.`
}

// Run puts what files hold into a workshop.
func (c importCommand) Run(s *streams, _ *int) error {
	ctx := s.interruptible()
	w, err := c.open(ctx)
	if err != nil {
		return err
	}
	defer w.Close()
	for _, name := range c.Files {
		text, err := workshop.ReadImport(name)
		if err != nil {
			return err
		}
		got, err := w.Import(ctx, filepath.Base(name), text)
		if err != nil {
			return err
		}
		for _, m := range got {
			if _, err := fmt.Fprintf(s.out, "%s: %s\n", m.Name, m.Words); err != nil {
				return err
			}
		}
	}
	return nil
}
