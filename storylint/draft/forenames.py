"""Forenames common in English-language family histories, one of several signs that a line opens with a person.

British, Irish, Welsh, Scottish and American (with the Bible names of New England), and the European names that
immigrants brought. Written down from memory; no published list was copied. A name that is missing costs little: the
draft's own names are learned as it is read.
"""


def words(text: str) -> frozenset[str]:
    """The words of a text, for lists that are easier to read in lines than in quotation marks."""
    return frozenset(text.split())


FORENAMES = words(
    """
Aaron Abel Abiah Abiel Abigail Abijah Abner Abraham Abram Absalom Achsah Ada Adah Adalbert Adaline Adam Adela
Adelaide Adele Adelheid Adeline Adolf Adolph Adrian Adriana Agatha Agnes Agnieszka Alan Alastair Albert Alberta
Alden Aleck Aled Alessandro Alexander Alexandra Alexandros Alexis Alfred Alfreda Algernon Alice Alicia Alison
Alistair Allan Allen Alma Almira Almon Alonzo Aloysius Alpheus Althea Alva Alvah Alvin Alwyn Amanda Amasa Ambrose
Amelia Ami Amos Amy Anders Andrea Andreas Andrew Andrzej André Aneirin Aneurin Angela Angelina Angelo Angharad Angus
Ann Anna Annabel Anne Annette Anni Annie Ansel Anson Anthony Antoine Anton Antonia Antonio Aphra Archelaus Archibald
Archie Ariel Arnold Artemas Arthur Arvid Asa Asahel Asaph Asenath Astrid Athanasios Aubrey Audrey August Augusta
Auguste Augustin Augustus Aurelia Austin Avery Azariah Azubah Baldwin Balthasar Baptist Baptiste Barbara Barnabas
Barnaby Barney Bartholomew Bartlett Basil Bathsheba Beatrice Beatrix Becky Belinda Bella Benedict Benjamin Bennet
Benoni Berenice Bernard Bernhard Bernice Bert Berta Bertha Bertram Bessie Beth Bethany Bethia Bethiah Betsey Betsy
Bettie Betty Beulah Beverley Blanche Blodwen Bonaventure Boyd Bradley Brenda Brendan Brian Bridget Bronwen Bruce
Bryan Bryce Byron Cadwaladr Caleb Calista Calliope Calvin Cameron Camilla Camille Carl Carla Carlo Carlos Carmen
Carol Caroline Carolyn Carrie Carys Caspar Casper Cassandra Catharina Catharine Catherine Cathrine Catrin Cecil
Cecilia Cecily Celestine Celia Cephas Ceri Ceridwen Chad Charity Charles Charlie Charlotte Chauncey Chester Chloe
Christian Christiana Christina Christine Christoph Christopher Christos Clara Clare Clarence Clarissa Clark Claude
Claudia Clayton Clement Clementina Cleo Clifford Clifton Clive Clyde Colette Colin Comfort Conrad Constance
Constantine Cora Cordelia Corinne Cornelia Cornelis Cornelius Cotton Craig Crispin Cuthbert Cynthia Cyril Cyrus
Dafydd Daisy Damaris Daniel Daphne Darius David Davy Deborah Deirdre Delia Delight Delilah Demetrios Denis Dennis
Denzil Derek Desire Desmond Diana Dick Diederich Dietrich Dilys Dimitri Dinah Dirk Dolly Dolores Dominic Donald Dora
Dorcas Doris Dorothea Dorothy Douglas Drusilla Dudley Duncan Dwight Dylan Eamon Eben Ebenezer Eber Edgar Edith
Edmond Edmund Edna Edward Edwin Edwina Effie Egbert Eileen Eirlys Elaine Elbert Eldad Eleanor Eleazar Eleazer Elena
Eleni Elenor Elfed Elgin Eli Elias Elihu Elijah Eliphalet Elisa Elisabeth Elise Elisha Eliza Elizabeth Elizur
Elkanah Ella Ellen Ellinor Elliott Ellis Elmer Elnathan Eloise Elsa Else Elsie Elspeth Eluned Elvin Elvira
Elwyn Emanuel Emeline Emery Emil Emile Emilia Emilie Emily Emlyn Emma Emmanuel Emmeline Emrys Enid Enoch Enos
Ephraim Erasmus Erastus Eric Erica Erich Erik Ernest Ernestine Ernst Erwin Esau Esther Ethan Ethel Ethelbert Eugene
Eugenia Eunice Euphemia Eustace Eva Evaline Evan Evangeline Eve Eveline Evelyn Everett Experience Ezekiel Ezra Faith
Fannie Fanny Fay Felicia Felicity Felix Ferdinand Fergus Fern Fidelia Finlay Fiona Flora Florence Florian Floyd
Frances Francesco Francis Francisco Franciszek Frank Franklin Franz François Françoise Fred Freda Frederic Frederica
Frederick Freelove Freeman Frieda Friedrich Fritz Gabriel Gad Gail Gaius Gamaliel Gareth Garrett Gaspard Geoffrey
George Georgia Georgiana Georgina Georgios Gerald Geraldine Gerard Gerhard Gershom Gertrude Gervase Gethin Giannis
Gideon Gilbert Giles Gillian Giorgio Giovanni Giuseppe Gladys Glenys Gloria Godfrey Gordon Goronwy Gottfried
Gottlieb Grace Graham Greta Gretchen Griffith Grizel Gruffydd Guillaume Gunnar Gus Gustav Gustave Guy Gwen Gwendolen
Gwendoline Gwenllian Gwilym Gwladys Gwyn Gwyneth Hagar Haldane Hamilton Hamlet Hannah Hannes Hans Harald Harold
Harriet Harriett Harris Harrison Harry Harvey Hattie Hazel Heber Hector Hedwig Heinrich Helen Helena Helene Helga
Heloise Hendrick Hendrik Henri Henrietta Henry Hephzibah Hepzibah Herbert Herman Hermann Hervey Hester Hettie
Hezekiah Hilary Hilda Hillel Hiram Hjalmar Homer Honor Honora Hope Horace Horatio Hosea Howard Howell Hubert Hugh
Hugo Hulda Huldah Humphrey Huw Hyman Hywel Ian Ianto Ichabod Ida Idris Idwal Iestyn Ieuan Ifan Ifor Ignatius Ignatz
Ingeborg Ingrid Inigo Iolo Iorwerth Ira Irene Irini Iris Irma Irving Isaac Isaak Isabel Isabella Isadore Isaiah
Ishmael Isidore Islwyn Ismael Israel Ithamar Ivan Ivor Ivy Jabez Jack Jackson Jacob Jacobus Jacqueline Jacques Jael
Jakob James Jan Jane Janet Janice Jared Jasper Jean Jeanette Jeanne Jedediah Jeffrey Jehiel Jemima Jennet Jennie
Jennifer Jenny Jens Jeremiah Jeremy Jerome Jerusha Jesse Jessica Jessie Jesús Jethro Jewel Jill Jim Joachim Joan
Joanna Job Jodocus Joel Johan Johann Johanna Johannes John Johnny Jonah Jonas Jonathan Jordan Jorge Joris Josef
Joseph Josephine Joshua Josiah Jost José Jotham Joy Joyce Juan Juana Judah Judith Jules Julia Julian Juliana Julie
Juliet Julius June Justin Justus Józef Karen Karin Karl Karoline Kaspar Katarzyna Kate Katharina Katharine Katherine
Kathleen Kathryn Katie Katrina Kay Keith Kenneth Keren Kerenhappuch Keturah Kevin Kezia Keziah Kirsten Kitty Klaus
Knud Konrad Konstantinos Kristen Kristian Kristina Kyriakos Laban Lafayette Lambert Lance Lancelot Larry Lars Laura
Laurence Laurens Laurinda Lavinia Lawrence Lazarus Leah Leander Leicester Lemuel Lena Leo Leon Leonard Leonora
Leopold Leroy Leslie Lester Letitia Lettice Levi Lewis Liam Libby Lila Lilian Lillian Lillie Lilly Lily Linda Linus
Lionel Lisa Lizzie Llewellyn Llewelyn Lloyd Lois Lorenz Lorenzo Loretta Lorraine Lot Lottie Lou Louie Louis Louisa
Louise Lovina Lowri Lubomir Lucas Lucia Lucian Lucille Lucinda Lucius Lucretia Lucy Ludwig Luella Luigi Luke Lulu
Luther Lydia Lyle Lyman Lynn Mabel Madeleine Madeline Madge Madoc Mae Magdalena Magdalene Maggie Magnus Mahala Mair
Malachi Malcolm Malvina Manasseh Manuel Marc Marcel Marcella Marcia Marcus Mared Margaret Margaretha Margarita
Margery Margit Margred Marguerite Maria Mariah Marian Marianne Marie Marietta Marigold Marilla Marina Mario Marion
Marjorie Mark Marmaduke Marshall Marta Martha Marthe Martin Marvin Mary Maryann Mateo Mathew Mathias Mathilda
Matilda Mats Matthew Matthias Mattie Maud Maude Maureen Maurice Max Maximilian May Mehetabel Mehitabel Mehitable
Meinir Meirion Melchior Melinda Melissa Melvin Mercy Meredith Merfyn Meriel Merle Meurig Micah Micajah Michael
Michalis Michel Mihangel Mildred Miles Millicent Milly Minerva Minna Minnie Miranda Miriam Mitchell Moira Moll Molly
Mona Monica Mordecai Morfydd Morgan Moritz Morris Morten Mortimer Moses Muriel Murray Myfanwy Myles Myra Myron Myrtle
Nahum Nan Nancy Naomi Napoleon Natalie Nathan Nathanael Nathaniel Neal Ned Nehemiah Neil Nell Nellie Nelly Nels Nelson
Nesta Nettie Newton Nia Nicholas Nicodemus Nicolas Nicole Niels Nigel Nikolaos Nikolas Nils Nina Noah Noel Nora
Norah Norma Norman Norris Obadiah Octavia Octavius Olaf Ole Olga Olive Oliver Olivia Olwen Omar Onesimus Ophelia
Oren Oresta Orlando Orpha Orrin Orson Orville Osborn Oscar Oswald Oswin Otis Otto Owain Owen Pablo Paloma Pamela
Parthenia Patience Patricia Patrick Patty Paul Paula Paulina Pauline Pearl Pedro Peggy Peleg Penelope Perceval
Percival Percy Perez Permelia Perry Peter Petronella Petrus Pharaoh Phebe Phelim Philander Philemon Philip Philipp
Philippa Philippe Phillip Phillis Philo Phineas Phinehas Phoebe Phyllis Pierre Pieter Piotr Pleasant Polly Priscilla
Prosper Prudence Quentin Quincy Rachael Rachel Ralph Ramón Ranald Randal Randolph Raphael Raymond Rebecca Rebekah
Rees Reginald Reinhold Relief Renata René Reuben Rex Rhiannon Rhoda Rhodri Rhys Ricardo Richard Rita Robert Roberta
Robin Roderick Rodney Roger Roland Rolf Ronald Rosa Rosalie Rosalind Rosamond Rosanna Roscoe Rose Rosetta
Rosina Rowena Rowland Roxana Roy Ruby Rudolf Rudolph Rufus Rupert Russell Ruth Rémy Sabina Sabra Sadie Salathiel
Sallie Sally Salmon Salome Salvatore Sampson Samson Samuel Sandra Sara Sarah Saul Savannah Sean Sebastian Selah
Selina Selma Septimus Serena Sergei Seth Shadrach Shubael Sian Sibyl Sidney Siegfried Sigmund Sigrid Silas Silence
Silvanus Silvia Simeon Simon Siôn Solomon Sophia Sophie Sophronia Spiros Stanislaus Stanisław Stanley Stella
Stephanie Stephen Steven Stuart Submit Sullivan Susan Susanna Susannah Sven Sybil Sydney Sylvanus Sylvester Sylvia
Tabitha Tacy Taliesin Tamar Tamsin Tecwyn Ted Temperance Terence Teresa Thaddeus Thankful Thea Thelma Theodora
Theodore Theodoric Theodosia Theophila Theophilus Theresa Therese Thomas Thomasin Thomasine Thora Thurston Thyrza
Tilda Tillie Timothy Titus Tobias Toby Tom Tommy Trefor Trevor Tristram Truman Tudor Twm Ulrich Ulysses Unity Urban
Uriah Ursula Valentine Valeria Vasilios Vera Vernon Veronica Victor Victoria Vincent Viola Violet Virgil Virginia
Vivian Waldo Wallace Walter Walther Warren Washington Wenzel Wesley Wilbur Wilfred Wilhelm Wilhelmina Will Willard
Willem William Willie Willis Willy Wilma Wilmot Winifred Winnie Winston Winthrop Wojciech Wolfgang Woodrow Wyndham
Władysław Xanthe Xavier Yves Yvonne Zaccheus Zachariah Zacharias Zachary Zadok Zebediah Zebulon Zechariah Zelda
Zephaniah Zerubbabel Zeruiah Zillah Zilpah Zina Zoe Zophar
"""
)

# Abbreviations that clerks and nineteenth-century compilers wrote for forenames (common practice, no source).
SHORTENED = words(
    """
Abr Alex Andw Archd Aug Barth Benj Cath Cathn Chas Danl Dav Edm Edmd Edw Edwd Eliz Elnr Fred Fredk Geo Gab
Herb Hen Jas Jer Jno Jn Jon Jona Jos Josh Lawr Margt Marg Matt Nath Nathl Nich Nichs Obad Patk Pat Phil Rich Richd
Robt Rob Saml Sam Sol Ste Steph Theo Thos Tho Tim Wm Walt Zach
"""
)
